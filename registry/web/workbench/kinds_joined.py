"""Values made of several parts: cable pieces, rated loads, loads, lists, and lines of columns."""

import re
from dataclasses import dataclass
from typing import Any, ClassVar, Final, NamedTuple

from registry.engineering.amplifier import RatedLoad
from registry.engineering.cable import Cable
from registry.engineering.line_parts import LINE_VOLTS
from registry.engineering.taps import tap_impedance_ohm
from registry.web.workbench.declaring import Kind, Widget
from registry.web.workbench.kinds import OneLine, Quantity, WireSize

LONGEST_PAIR: Final = 60
_COUNTED: Final = re.compile(r"([0-9]{1,3}) *[x×*] *(.+)")
_COMMA_IN_A_NUMBER: Final = re.compile(r"[0-9],[0-9]")

OHM: Final = Quantity(unit="ohm", high=100_000, above=True)
WATTS: Final = Quantity(unit="W", high=10_000, above=True)
CABLE_LENGTH: Final = Quantity(unit="m", high=2000)


def _pair(text: str, word: str, *, wanted: str) -> tuple[str, str]:
    """Part "60 W at 8 ohm" at its one `word`."""
    parts = text.split(f" {word} ")
    if len(parts) != 2:
        raise ValueError(f"cannot read {text[:LONGEST_PAIR]!r}: write {wanted}")
    return parts[0].strip(), parts[1].strip()


class TwoParts(OneLine):
    """What is typed as two parts with a word between."""

    __slots__ = ()

    @property
    def longest(self) -> int:
        """Room for both parts."""
        return LONGEST_PAIR


@dataclass(frozen=True, slots=True)
class CablePiece(TwoParts):
    """A piece of two-conductor cable: "60 ft of 16 AWG"."""

    @property
    def allowed(self) -> str:
        """Both parts with their ranges."""
        return f"one-way length of size: {CABLE_LENGTH.allowed} of {WireSize().allowed}"

    def read(self, text: str) -> Cable:
        """Return the piece."""
        length, size = _pair(text, "of", wanted="a one-way length and a size, for example 60 ft of 16 AWG")
        return Cable(WireSize().read(size), CABLE_LENGTH.read(length))


@dataclass(frozen=True, slots=True)
class Rating(TwoParts):
    """What a channel is rated for: "60 W at 8 ohm"."""

    @property
    def allowed(self) -> str:
        """Both parts with their ranges."""
        return f"watts at ohms: {WATTS.allowed} at {OHM.allowed}"

    def read(self, text: str) -> RatedLoad:
        """Return the rated load."""
        power, load = _pair(text, "at", wanted="watts and ohms, for example 60 W at 8 ohm")
        return RatedLoad(load_ohm=OHM.read(load), power_w=WATTS.read(power))


@dataclass(frozen=True, slots=True)
class LoadOhm(TwoParts):
    """A load: "8 ohm", or the taps of a constant-voltage line: "60 W at 70.7 V"."""

    @property
    def allowed(self) -> str:
        """Both ways with their ranges."""
        return f"{OHM.allowed}, or watts at a line voltage: 60 W at {', '.join(LINE_VOLTS)} V"

    def read(self, text: str) -> float:
        """Return the load in ohms."""
        if " at " not in text:
            return OHM.read(text)
        power, volts = _pair(text, "at", wanted="watts and volts, for example 60 W at 70.7 V")
        line_v = Quantity(unit="V", low=25, high=100).read(volts)
        if line_v not in LINE_VOLTS.values():
            raise ValueError(f"{volts} is out of range: allowed is {', '.join(LINE_VOLTS)} V")
        return tap_impedance_ohm(line_v=line_v, tap_w=WATTS.read(power))


class CoilLoadTyped(NamedTuple):
    """What one loudspeaker was said to be: ohms, or the watts of its tap."""

    impedance_ohm: float | None
    tap_w: float | None


@dataclass(frozen=True, slots=True)
class OhmOrTap(OneLine):
    """One loudspeaker's load with its unit: "8 ohm", or its tap "6 W"."""

    nothing: ClassVar[Any] = CoilLoadTyped(None, None)

    @property
    def allowed(self) -> str:
        """Both ways."""
        return "ohms or the watts of a tap, with the unit: 8 ohm or 6 W"

    def read(self, text: str) -> CoilLoadTyped:
        """Return what was typed; a bare number could be either, so it is refused."""
        if re.fullmatch(r"[0-9.]+", text):
            raise ValueError(f"{text} could be ohms or watts: write {text} ohm or {text} W")
        if text.lower().rstrip().endswith(("w", "watt", "watts")):
            return CoilLoadTyped(None, WATTS.read(text))
        return CoilLoadTyped(OHM.read(text), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Several(OneLine):
    """A list of one kind, parted by ", ", ";" or lines; `counted` lets "10 x 6 W" stand for ten of them."""

    of: Kind
    most: int
    fewest: int = 1
    counted: bool = False
    nothing: ClassVar[Any] = ()

    @property
    def longest(self) -> int:
        """Room for all of them at a usual length."""
        return min(2000, self.most * 30 + LONGEST_PAIR)

    @property
    def allowed(self) -> str:
        """How many, and what each may be."""
        repeated = ", repeated ones as 10 x …" if self.counted else ""
        return f"{self.fewest} to {self.most} with a comma and a space between{repeated}; each {self.of.allowed}"

    def read(self, text: str) -> tuple[Any, ...]:
        """Return the values in order."""
        found: list[Any] = []
        for part in parted(text, r"[,;\n]"):
            times, one = self._times(part)
            if len(found) + times > self.most:
                raise ValueError(f"more than {self.most} in the list: allowed is {self.fewest} to {self.most}")
            found += [self.of.read(one)] * times
        if len(found) < self.fewest:
            raise ValueError(f"{len(found)} in the list: allowed is {self.fewest} to {self.most}")
        return tuple(found)

    def _times(self, part: str) -> tuple[int, str]:
        if self.counted and (several := _COUNTED.fullmatch(part)):
            return int(several[1]), several[2].strip()
        return 1, part


class Cell(NamedTuple):
    """One column of a line of text."""

    label: str
    kind: Kind
    required: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Lines of text with columns between commas (or tabs, as a spreadsheet copies them)."""

    cells: tuple[Cell, ...]
    most: int
    fewest: int = 1
    widget: ClassVar[Widget] = "lines"
    nothing: ClassVar[Any] = ()

    @property
    def longest(self) -> int:
        """Room for all lines at a usual length."""
        return min(4000, self.most * 90 + LONGEST_PAIR)

    @property
    def allowed(self) -> str:
        """The columns."""
        names = [cell.label if cell.required else f"({cell.label})" for cell in self.cells]
        return f"{self.fewest} to {self.most} lines, each: {', '.join(names)}"

    def read(self, text: str) -> tuple[tuple[Any, ...], ...]:
        """Return the lines as tuples of values."""
        lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
        if not self.fewest <= len(lines) <= self.most:
            raise ValueError(f"{len(lines)} lines: allowed is {self.fewest} to {self.most}")
        return tuple(self._line(number, line) for number, line in lines)

    def _line(self, number: int, line: str) -> tuple[Any, ...]:
        try:
            texts = parted(line, r"[,\t]", keep_empty=True)
        except ValueError as error:
            raise ValueError(f"line {number}: {error}") from error
        if len(texts) > len(self.cells):
            wanted = ", ".join(cell.label for cell in self.cells)
            raise ValueError(f"line {number}: {len(texts)} columns, allowed is at most {len(self.cells)}: {wanted}")
        padded = [*texts, *[""] * (len(self.cells) - len(texts))]
        return tuple(self._cell(cell, text, number=number) for cell, text in zip(self.cells, padded, strict=True))

    def _cell(self, cell: Cell, text: str, *, number: int) -> Any:
        where = f"line {number}, {cell.label}"
        if not text:
            if cell.required:
                raise ValueError(f"{where}: missing; allowed is {cell.kind.allowed}")
            return cell.kind.nothing
        try:
            return cell.kind.read(text)
        except ValueError as error:
            raise ValueError(f"{where}: {error}") from error


def parted(text: str, separators: str, *, keep_empty: bool = False) -> list[str]:
    """Part a text; a comma between two digits could mean 1.5 or two numbers, so it is refused."""
    if wrong := _COMMA_IN_A_NUMBER.search(text):
        around = text[max(0, wrong.start() - 3) : wrong.end() + 3].strip()
        raise ValueError(f"a comma between digits ({around}) can mean two things: write 1.5, or 1, 5 with a space")
    parts = [part.strip() for part in re.split(separators, text)]
    return parts if keep_empty else [part for part in parts if part]


def line_kinds() -> dict[str, str]:
    """The kinds of line with the words that people read."""
    return {"low": "low impedance", "70.7": "70.7 V", "100": "100 V", "25": "25 V"}
