"""What a design costs in work: conductors that land on another terminal than today, and runs of cable to be pulled."""

from dataclasses import dataclass
from typing import TypeAlias

from registry.audio.models import LineKind
from registry.planning.design import Design, DesignedCoil, DesignedLine
from registry.planning.wired import strings_of

CONDUCTORS = 2

Neighbours: TypeAlias = tuple[tuple[str, str] | None, tuple[str, str] | None]


@dataclass(frozen=True, slots=True)
class Work:
    """Terminations that change at the rack and at loudspeakers (a ladder), and new runs of cable."""

    at_rack: int
    at_height: int
    new_runs: int

    @property
    def terminations(self) -> int:
        """All of them."""
        return self.at_rack + self.at_height

    def hours(self, minutes_each: float) -> float:
        """Return the hours that they take."""
        return self.terminations * minutes_each / 60.0


def work_of(design: Design) -> Work:
    """Return what changes: a conductor that comes off one terminal and goes on another counts once.

    A chain that stays as it is takes its two conductors from channel to channel. A coil with a cable of its own lands
    both at the rack. A loudspeaker whose neighbours in the chain change has two conductors changed up there.
    """
    before, after = _todays_neighbours(design), _planned_neighbours(design)
    changed = [key for key, neighbours in after.items() if neighbours != before[key]]
    return Work(
        at_rack=CONDUCTORS * sum(_landing(line, string) for line in design.lines for string in line.strings.values()),
        at_height=CONDUCTORS * len(changed),
        new_runs=sum(coil.run.is_new for coil in design.coils),
    )


def _landing(line: DesignedLine, string: list[DesignedCoil]) -> int:
    """Pairs of conductors of a string that land anew at the rack."""
    if is_chain(string):
        first = string[0].wired
        return int((first.amplifier, first.channel) != (line.place, line.channel) or string[0].run.is_new)
    return len(string)


def is_chain(string: list[DesignedCoil]) -> bool:
    """Whether one pair of conductors serves the whole string: joined at the loudspeakers, not at the rack."""
    return string[0].wired.kind != LineKind.LOW or all(coil.run.chained for coil in string[1:])


def _todays_neighbours(design: Design) -> dict[tuple[str, str], Neighbours]:
    strings = strings_of(coil.wired for coil in design.coils)
    chains = [sorted(chain, key=lambda coil: coil.order) for chain in strings.values()]
    return _neighbours([[coil.key for coil in chain] for chain in chains])


def _planned_neighbours(design: Design) -> dict[tuple[str, str], Neighbours]:
    chains: list[list[tuple[str, str]]] = []
    for line in design.lines:
        for string in line.strings.values():
            keys = [coil.wired.key for coil in string]
            chains += [keys] if is_chain(string) else [[key] for key in keys]
    return _neighbours(chains)


def _neighbours(chains: list[list[tuple[str, str]]]) -> dict[tuple[str, str], Neighbours]:
    found: dict[tuple[str, str], Neighbours] = {}
    for chain in chains:
        for at, key in enumerate(chain):
            found[key] = (chain[at - 1] if at else None, chain[at + 1] if at + 1 < len(chain) else None)
    return found
