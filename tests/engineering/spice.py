"""Circuits for ngspice: many in one deck, one run, every node voltage read back."""

import shutil
import subprocess
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from registry.engineering.line_parts import LineKind, Piece

AVAILABLE = shutil.which("ngspice") is not None


@dataclass
class Deck:
    """Independent circuits that share only the ground; each has its own nodes and its own source."""

    cards: list[str] = field(default_factory=list)
    count: int = 0

    def line(self, kind: LineKind, strings: list[list[Piece]], volts: float) -> list[list[tuple[str, str]]]:
        """Add a line with its source; give the two nodes of each coil by string. No part may be inf Ω, no cable 0 Ω."""
        self.count += 1
        name = f"c{self.count}"
        self.cards.append(f"V{name} {name}in 0 DC {volts!r}")
        return [self._string(f"{name}s{s}", f"{name}in", kind, string) for s, string in enumerate(strings)]

    def _string(self, name: str, start: str, kind: LineKind, string: list[Piece]) -> list[tuple[str, str]]:
        coils, here = [], start
        for n, piece in enumerate(string):
            fed, after = f"{name}f{n}", f"{name}a{n}"
            self.cards.append(f"R{name}c{n} {here} {fed} {piece.cable_ohm!r}")
            if kind == "low":
                after = "0" if n == len(string) - 1 else after
                here = after
            else:
                after, here = "0", fed
            self.cards.append(_load(f"{name}l{n}", fed, after, piece.load_ohm))
            coils.append((fed, after))
        return coils

    def run(self) -> dict[str, float]:
        """Operating point of everything, by vector name; node 0 is 0 V."""
        with tempfile.TemporaryDirectory() as folder:
            deck, raw = Path(folder) / "deck.cir", Path(folder) / "op.raw"
            control = [".control", "set filetype=ascii", "op", f"write {raw} all", "quit 0", ".endc", ".end"]
            deck.write_text("\n".join(["* lines", *self.cards, *control]) + "\n", encoding="ascii")
            subprocess.run(["ngspice", "-b", str(deck)], check=True, capture_output=True, timeout=60)
            return {"0": 0.0, **_read(raw.read_text(encoding="ascii"))}


def _load(name: str, fed: str, after: str, ohm: float) -> str:
    """A resistor; a short is a source of 0 V, which is exact."""
    return f"R{name} {fed} {after} {ohm!r}" if ohm else f"V{name} {fed} {after} DC 0"


def _read(text: str) -> dict[str, float]:
    """An ascii raw file: a list of variables, then one value each."""
    head, values = text.split("Values:\n")
    names = [row.split()[1] for row in head.split("Variables:\n")[1].splitlines() if row.strip()]
    numbers = values.split()[1:]
    return {_bare(name): float(number) for name, number in zip(names, numbers, strict=True)}


def _bare(name: str) -> str:
    """v(node) is known by its node, i(source) keeps its name."""
    return name[2:-1] if name.startswith("v(") else name
