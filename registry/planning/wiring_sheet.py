"""A design terminal by terminal: which conductor lands where, by its recorded colour, and where a jumper goes."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

from registry.audio.models import LineKind
from registry.planning.design import Design, DesignedCoil, DesignedLine
from registry.planning.work import is_chain

Pole: TypeAlias = Literal["plus", "minus"]

NO_COLOUR = "colour not recorded: trace it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """One conductor on one terminal. `terminal`: "+" and "−" of the channel, or a joint between two coils."""

    terminal: str
    pole: Pole
    colour: str
    loudspeaker: str
    cable: str
    length_m: float | None
    is_new: bool
    comes_from: str
    jumper: str = ""

    @property
    def shown_colour(self) -> str:
        """The colour in words, or what to do without one."""
        return self.colour or NO_COLOUR


@dataclass(frozen=True, slots=True, kw_only=True)
class StringSheet:
    """The landings of one string in the order of the current, and what happens at its loudspeakers."""

    name: str
    landings: tuple[Landing, ...]
    at_loudspeakers: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSheet:
    """All strings of one channel."""

    line: str
    place: str
    channel: str
    kind: str
    zones: tuple[str, ...]
    strings: tuple[StringSheet, ...]

    @property
    def jumpers(self) -> int:
        """How many jumpers join coils in series at the rack."""
        return sum(bool(landing.jumper) for string in self.strings for landing in string.landings)

    @property
    def can_shock(self) -> bool:
        """Whether it is a line of 70.7 or 100 V."""
        return self.kind in (LineKind.V70, LineKind.V100)


def wiring_sheet(design: Design) -> tuple[LineSheet, ...]:
    """Return one sheet for each channel that carries something."""
    return tuple(_line_sheet(line) for line in design.lines)


def _line_sheet(line: DesignedLine) -> LineSheet:
    joints = _joint_names()
    return LineSheet(
        line=line.name,
        place=line.place,
        channel=line.channel,
        kind=line.kind,
        zones=line.zones,
        strings=tuple(_string_sheet(name, coils, joints) for name, coils in line.strings.items()),
    )


def _joint_names() -> Iterator[str]:
    number = 0
    while True:
        number += 1
        yield f"joint {number}"


def _string_sheet(name: str, coils: list[DesignedCoil], joints: Iterator[str]) -> StringSheet:
    if is_chain(coils):
        return StringSheet(name=name, landings=tuple(_pair(coils[0])), at_loudspeakers=_chain_words(coils))
    landings = [_landing(coils[0], "plus", "+")]
    for coil, after in pairwise(coils):
        joint = next(joints)
        words = f"jumper: minus of {coil.wired.name} to plus of {after.wired.name}"
        landings += [_landing(coil, "minus", joint, jumper=words), _landing(after, "plus", joint)]
    return StringSheet(name=name, landings=(*landings, _landing(coils[-1], "minus", "−")))


def _pair(coil: DesignedCoil) -> Iterable[Landing]:
    yield _landing(coil, "plus", "+")
    yield _landing(coil, "minus", "−")


def _chain_words(coils: list[DesignedCoil]) -> str:
    if len(coils) == 1:
        return ""
    names = ", ".join(coil.wired.name for coil in coils)
    if coils[0].wired.kind != LineKind.LOW:
        return f"The cable goes on from loudspeaker to loudspeaker as today: {names}."
    return f"In series at the loudspeakers, as today: {names}."


def _landing(coil: DesignedCoil, pole: Pole, terminal: str, *, jumper: str = "") -> Landing:
    wired, run = coil.wired, coil.run
    there = f"{wired.amplifier}, channel {wired.channel}, {'+' if pole == 'plus' else '−'}"
    return Landing(
        terminal=terminal,
        pole=pole,
        colour=wired.plus if pole == "plus" else wired.minus,
        loudspeaker=wired.name,
        cable=run.cable,
        length_m=run.cable_m,
        is_new=run.is_new,
        comes_from="a new run" if run.is_new else there,
        jumper=jumper,
    )
