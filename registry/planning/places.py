"""Where the amplifiers of a plan stand: places that the plan frees, of the same model, then new ones."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from registry.engineering.folding import FoldedAmplifier, FoldPlan
from registry.planning.surroundings import Surroundings
from registry.planning.wired import WiredCoil

NUMBERED = re.compile(r"Amplifier (\d{1,6})")


@dataclass(frozen=True, slots=True)
class Seat:
    """A place for one amplifier: one that is there (and its amplifier with it), or a new one."""

    place: str
    is_new: bool


def seats(plan: FoldPlan, wired: Sequence[WiredCoil], *, around: Surroundings) -> tuple[Seat, ...]:
    """Return a place for every amplifier of a plan.

    A place is free when the plan takes all its loudspeakers, or when it drives none. Each amplifier takes the free
    place of its model that drives most of its loudspeakers today, so that least is moved.
    """
    free = _freed(wired, around)
    names = _new_names(around)
    found = []
    for amplifier in plan.amplifiers:
        suited = [place for place in free if free[place] == amplifier.amplifier]
        if suited:
            place = max(suited, key=lambda name: _already_there(name, amplifier, wired))
            del free[place]
            found.append(Seat(place, is_new=False))
        else:
            found.append(Seat(next(names), is_new=True))
    return tuple(found)


def _freed(wired: Iterable[WiredCoil], around: Surroundings) -> dict[str, str]:
    """Places that the plan leaves without a loudspeaker, with their models, in the order of their names."""
    planned = {coil.key for coil in wired}
    busy = {coil.amplifier for coil in around.coils if coil.key not in planned}
    return {place.name: place.model for place in around.amplifiers if place.name not in busy}


def _already_there(place: str, amplifier: FoldedAmplifier, wired: Iterable[WiredCoil]) -> int:
    zones = {fit.zone for fit in amplifier.zones}
    return sum(coil.amplifier == place and coil.zone in zones for coil in wired)


def _new_names(around: Surroundings) -> Iterator[str]:
    numbers = [int(match[1]) for place in around.places if (match := NUMBERED.fullmatch(place))]
    number = max(numbers, default=0)
    while True:
        number += 1
        yield f"Amplifier {number}"
