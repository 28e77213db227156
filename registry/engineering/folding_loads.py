"""Exact packing of wired zones on the channels of one amplifier: every way to spread them that keeps each load."""

from collections.abc import Sequence
from typing import Final, TypeAlias

from registry.engineering.amplifier import ROUNDING
from registry.engineering.folding_options import PICO, Split, ZoneWiring
from registry.engineering.folding_parts import Mode

CHANGE: Final = (
    1000  # effort of one change of wiring; a zone spread over one channel more counts 1, so it only breaks ties
)

Loads: TypeAlias = tuple[int, ...]  # picosiemens: sums of whole numbers are exact
Placed: TypeAlias = tuple[
    int, Loads, Split | None
]  # effort so far, the loads before the last zone, and how that zone was split


def _added(loads: Loads, more: Loads) -> Loads:
    return tuple([a + b for a, b in zip(loads, more, strict=True)])


class Packer:
    """Spreads wirings over the channels of one mode and remembers what it has found for each beginning of a group."""

    def __init__(self, wirings: Sequence[ZoneWiring], mode: Mode) -> None:
        """Keep the splits whose own load fits."""
        self._most = int(PICO / mode.min_load_ohm * (1.0 + ROUNDING))
        self._every_channel = not mode.mono
        self._load = [wiring.load_s for wiring in wirings]
        self._splits = [[s for s in wiring.splits if max(s.loads_ps) <= self._most] for wiring in wirings]
        self._easiest = [_with_fewest_changes(splits) for splits in self._splits]
        unloaded: Loads = (0,) * mode.channels
        self._known: dict[tuple[int, ...], dict[Loads, Placed]] = {(): {unloaded: (0, (), None)}}
        self._even: dict[tuple[int, ...], tuple[int, Loads] | None] = {(): (0, unloaded)}

    def fewest_changes(self, picked: tuple[int, ...]) -> int | None:
        """Fewest changes of wiring that put the picked wirings on the channels, None where no load allows it."""
        heaviest_first = self._heaviest_first(picked)
        evenly = self._evenly(heaviest_first)
        if evenly is not None and (min(evenly[1]) > 0 or not self._every_channel):
            return evenly[0]
        reach = self._reach(heaviest_first)
        return min((reach[loads][0] // CHANGE for loads in self._ends(reach)), default=None)

    def splits_of(self, picked: tuple[int, ...]) -> list[Split]:
        """One split for each picked wiring: fewest changes, then fewest zones spread, then the most even loads."""
        rows = self._heaviest_first(picked)
        reach = self._reach(rows)
        loads = min(self._ends(reach), key=lambda end: (reach[end][0], max(end), [-load for load in end]))
        found: dict[int, Split] = {}
        for size in range(len(rows), 0, -1):
            _, before, split = self._reach(rows[:size])[loads]
            if split is not None:
                found[rows[size - 1]] = split
            loads = before
        return [found[row] for row in picked]

    def _heaviest_first(self, picked: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(sorted(picked, key=lambda row: (-self._load[row], row)))

    def _evenly(self, rows: tuple[int, ...]) -> tuple[int, Loads] | None:
        """A quick yes: zone by zone, of the splits with the fewest changes, the one that leaves the loads most even."""
        if rows not in self._even:
            before, splits = self._evenly(rows[:-1]), self._easiest[rows[-1]]
            self._even[rows] = None
            if before is not None and splits:
                loads = min((_added(before[1], split.loads_ps) for split in splits), key=max)
                if max(loads) <= self._most:
                    self._even[rows] = (before[0] + splits[0].changes, loads)
        return self._even[rows]

    def _ends(self, reach: dict[Loads, Placed]) -> list[Loads]:
        return [loads for loads in reach if min(loads) > 0 or not self._every_channel]

    def _reach(self, rows: tuple[int, ...]) -> dict[Loads, Placed]:
        known = self._known.get(rows)
        if known is None:
            known = self._known[rows] = self._extended(self._reach(rows[:-1]), self._splits[rows[-1]])
        return known

    def _extended(self, reach: dict[Loads, Placed], splits: list[Split]) -> dict[Loads, Placed]:
        found: dict[Loads, Placed] = {}
        for before, (effort, _, _) in reach.items():
            for split in splits:
                loads = _added(before, split.loads_ps)
                total = effort + CHANGE * split.changes + split.spread
                if max(loads) <= self._most and (loads not in found or total < found[loads][0]):
                    found[loads] = (total, before, split)
        return found


def _with_fewest_changes(splits: list[Split]) -> list[Split]:
    fewest = min((split.changes for split in splits), default=0)
    return [split for split in splits if split.changes == fewest]
