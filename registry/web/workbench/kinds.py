"""Single values as people type them: quantities with units, counts, choices, words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Final

from registry.engineering.conductor import conductor_area_mm2
from registry.engineering.units import LONGEST_TEXT, read_cable_size, read_quantity
from registry.web.workbench.declaring import Widget

_SIGNS: Final = {"ohm": "Ω", "mm2": "mm²", "m2": "m²", "degC": "°C", "degree": "°"}
_PLAIN: Final = re.compile(r"[+\-\u2212]?(?:[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})")
_WHOLE: Final = re.compile(r"[0-9]{1,9}")


def _span(low: float, high: float, *, unit: str, above: bool) -> str:
    """The allowed range in words: "above 0 to 500 m"."""
    ends = f"{'above ' * above}{_figure(low)} to {_figure(high)}"
    return f"{ends} {_SIGNS.get(unit, unit)}".rstrip()


def _figure(value: float) -> str:
    return f"{value:.12g}".replace("-", "−")


class OneLine:
    """What most kinds have in common: they are typed on one line, as long as one quantity may be."""

    __slots__ = ()
    widget: ClassVar[Widget] = "line"
    nothing: ClassVar[Any] = None

    @property
    def longest(self) -> int:
        """How many characters may be typed."""
        return LONGEST_TEXT


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ranged(OneLine):
    """A number between two ends; `above` shuts the low one."""

    low: float = 0.0
    high: float
    unit: str = ""
    above: bool = False

    @property
    def allowed(self) -> str:
        """The range with its unit."""
        return _span(self.low, self.high, unit=self.unit, above=self.above)

    def _within(self, value: float, text: str) -> float:
        if not (self.low <= value <= self.high) or (self.above and value == self.low):
            raise ValueError(f"{text} is out of range: allowed is {self.allowed}")
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(_Ranged):
    """A number with a unit of `registry.engineering.units`; bare it is in that unit."""

    unit: str

    def read(self, text: str) -> float:
        """Return the number in the unit."""
        return self._within(read_quantity(text, self.unit), text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(_Ranged):
    """A plain number; `unit` is only told, never typed."""

    def read(self, text: str) -> float:
        """Return the number."""
        if not _PLAIN.fullmatch(text):
            raise ValueError(f"cannot read {text!r}: write one number with a point, {self.allowed}")
        return self._within(float(text.replace("\u2212", "-")), text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole(OneLine):
    """A count."""

    low: int = 0
    high: int
    unit: str = ""

    @property
    def allowed(self) -> str:
        """The range."""
        return f"a whole number, {_span(self.low, self.high, unit=self.unit, above=False)}"

    def read(self, text: str) -> int:
        """Return the count."""
        if not _WHOLE.fullmatch(text):
            raise ValueError(f"cannot read {text!r}: allowed is {self.allowed}")
        if not self.low <= int(text) <= self.high:
            raise ValueError(f"{text} is out of range: allowed is {self.allowed}")
        return int(text)


@dataclass(frozen=True, slots=True)
class Choice(OneLine):
    """One of a few words; `options` pairs what is in the address with what people read."""

    options: Mapping[str, str]
    widget: ClassVar[Widget] = "choice"

    @property
    def allowed(self) -> str:
        """The words."""
        return f"one of {', '.join(self.options)}"

    def read(self, text: str) -> str:
        """Return the word."""
        if text not in self.options:
            raise ValueError(f"{text!r} is not offered: allowed is {self.allowed}")
        return text


@dataclass(frozen=True, slots=True)
class Word(OneLine):
    """A name."""

    longest: int = LONGEST_TEXT
    nothing: ClassVar[Any] = ""

    @property
    def allowed(self) -> str:
        """How long it may be."""
        return f"a name of at most {self.longest} characters"

    def read(self, text: str) -> str:
        """Return the name."""
        if not text.isprintable() or len(text) > self.longest:
            raise ValueError(f"{text[: self.longest]!r} cannot be read: allowed is {self.allowed}")
        return text


@dataclass(frozen=True, slots=True)
class WireSize(OneLine):
    """The size of a conductor: 18 AWG, 1.5 mm2."""

    @property
    def allowed(self) -> str:
        """The sizes."""
        return "4/0 to 40 AWG, or 0.05 to 500 mm2"

    def read(self, text: str) -> str:
        """Return the one spelling of the size."""
        size = read_cable_size(text)
        conductor_area_mm2(size)
        return size
