"""Cables of a design: which pieces stay as they are, and where a loudspeaker needs a run of its own to the rack.

Taken as recorded: the first loudspeaker of a string has a cable to the amplifier; the others are reached through it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from registry.planning.wired import WiredCoil, strings_of

Today: TypeAlias = Mapping[tuple[str, str], list[WiredCoil]]


@dataclass(frozen=True, slots=True)
class Run:
    """The two-conductor piece that feeds a coil.

    `is_new`: nothing reaches the rack from there yet. `chained`: it comes from the loudspeaker before it, as today;
    without that the coil's own cable comes to the rack, and series is made there by a jumper.
    """

    cable: str
    cable_m: float | None
    is_new: bool = False
    chained: bool = False


def todays_strings(coils: Iterable[WiredCoil]) -> Today:
    """Return every string of a site in its order."""
    return strings_of(coils)


def run_of(string: Sequence[WiredCoil], at: int, today: Today) -> Run:
    """Return the cable of the coil at a place of a planned string.

    A string that begins as one of today's does keeps its pieces. Otherwise every coil comes to the rack by itself: the
    first of today's strings has a cable there, one further along needs a new one as long as the way through the others.
    """
    coil = string[at]
    chain = today[coil.string_key]
    if [each.key for each in chain[: len(string)]] == [each.key for each in string]:
        return Run(coil.cable, coil.cable_m, chained=at > 0)
    before = chain[: [each.key for each in chain].index(coil.key) + 1]
    if len(before) == 1:
        return Run(coil.cable, coil.cable_m)
    lengths = [piece.cable_m for piece in before]
    known = [length for length in lengths if length is not None]
    total = sum(known) if len(known) == len(lengths) else None
    return Run(coil.cable, total, is_new=True)
