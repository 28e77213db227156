"""The text notation of networks: + is in series and binds first, | is in parallel, brackets group."""

import re
from dataclasses import dataclass
from math import inf
from typing import Any, ClassVar, Final

from registry.engineering.network import Parallel, Resistor, Series, Tree
from registry.web.workbench.declaring import Widget
from registry.web.workbench.kinds import Quantity, Word

LONGEST: Final = 600
MOST_PARTS: Final = 60
DEEPEST: Final = 20
WORDS: Final = {"open": inf, "short": 0.0}
PART: Final = Quantity(unit="ohm", high=1_000_000)
HOW: Final = (
    "+ puts parts in series and binds first, | puts them in parallel, brackets group: 8 + 8 | 8 is two in series "
    "beside one. A part is a number with or without its unit, or open, or short; a name stands before =: LS1 = 8 ohm."
)
_TOKEN: Final = re.compile(r"[+|()]|[^+|()]+")


@dataclass(frozen=True, slots=True)
class Network:
    """A network written as text."""

    widget: ClassVar[Widget] = "line"
    nothing: ClassVar[Any] = None

    @property
    def longest(self) -> int:
        """Characters."""
        return LONGEST

    @property
    def allowed(self) -> str:
        """What may stand in it."""
        return f"up to {MOST_PARTS} parts of {PART.allowed}, open or short, joined by + (series), | (parallel) and ( )"

    def read(self, text: str) -> Tree:
        """Return the tree."""
        return _Reader(text).whole()


class _Reader:
    """Reads a network from left to right; every step takes at least one token, so it always ends."""

    def __init__(self, text: str) -> None:
        self.tokens = [token.strip() for token in _TOKEN.findall(text) if token.strip()]
        self.at = 0
        self.parts = 0

    def whole(self) -> Tree:
        tree = self.parallel(depth=0)
        if self.at < len(self.tokens):
            raise ValueError(f"{self.tokens[self.at]} is not expected {self.place()}; {_ASK}")
        return tree

    def parallel(self, *, depth: int) -> Tree:
        branches = [self.series(depth=depth)]
        while self.take("|"):
            branches.append(self.series(depth=depth))
        return branches[0] if len(branches) == 1 else Parallel(branches)

    def series(self, *, depth: int) -> Tree:
        chain = [self.part(depth=depth)]
        while self.take("+"):
            chain.append(self.part(depth=depth))
        return chain[0] if len(chain) == 1 else Series(chain)

    def part(self, *, depth: int) -> Tree:
        if not self.take("("):
            return self.leaf()
        if depth >= DEEPEST:
            raise ValueError(f"brackets are nested more than {DEEPEST} deep: allowed is {DEEPEST}")
        tree = self.parallel(depth=depth + 1)
        if not self.take(")"):
            raise ValueError(f"a bracket is not closed {self.place()}; {_ASK}")
        return tree

    def leaf(self) -> Resistor:
        token = self.tokens[self.at] if self.at < len(self.tokens) else ""
        if token in ("", "+", "|", ")"):
            raise ValueError(f"a part is missing {self.place()}; {_ASK}")
        self.at += 1
        self.parts += 1
        if self.parts > MOST_PARTS:
            raise ValueError(f"more than {MOST_PARTS} parts: allowed is {MOST_PARTS}")
        name, sign, value = token.rpartition("=")
        if sign and not name.strip():
            raise ValueError(f"a name is missing before {token!r}; write LS1 = 8 ohm, or 8 ohm alone")
        return Resistor(_ohm(value.strip()), Word(20).read(name.strip()) if sign else f"part {self.parts}")

    def take(self, sign: str) -> bool:
        if self.at < len(self.tokens) and self.tokens[self.at] == sign:
            self.at += 1
            return True
        return False

    def place(self) -> str:
        return f"after {self.tokens[self.at - 1]}" if self.at else "at the beginning"


def _ohm(text: str) -> float:
    word = text.lower()
    return WORDS[word] if word in WORDS else PART.read(text)


_ASK: Final = "write for example 8 + 8 | 8"
