"""How much there is to search in a fold plan, told beforehand, so that no address keeps the server busy."""

from collections.abc import Sequence
from typing import Final, NamedTuple

from registry.engineering.folding import FoldZone, Mode
from registry.engineering.folding_options import zone_wirings

_STEPS: Final = 400  # the load of one amplifier in so many parts


class Work(NamedTuple):
    """Groups that one amplifier may carry, and ways to load its channels with the fullest of them."""

    groups: float
    ways: float

    @property
    def is_little(self) -> bool:
        """Whether the search takes two seconds at most."""
        return self.groups <= 5e5 and self.ways <= 1e5

    @property
    def leaves_time_to_explain(self) -> bool:
        """Whether there is time to search for what forbids fewer amplifiers as well."""
        return self.groups <= 2e4 and self.ways <= 1e4


def work_of(zones: Sequence[FoldZone], mode: Mode) -> Work:
    """Return an upper bound of the search, whatever the levels."""
    groups, ways = {0: 1.0}, {0: 1.0}
    for zone in zones:
        options = [
            (int(wiring.load_s * mode.min_load_ohm / mode.channels * _STEPS), len(wiring.splits))
            for wiring in zone_wirings(zone, channels=mode.channels)
        ]
        grown, spread = dict(groups), dict(ways)
        for load, _ in options:
            for before, count in groups.items():
                grown[before + load] = grown.get(before + load, 0.0) + count
        for load, splits in options:
            for before, most in ways.items():
                spread[before + load] = max(spread.get(before + load, 0.0), most * splits)
        groups, ways = (_that_fit(each) for each in (grown, spread))
    return Work(sum(groups.values()), max(ways.values()))


def _that_fit(found: dict[int, float]) -> dict[int, float]:
    return {load: value for load, value in found.items() if load <= _STEPS}
