"""How much there is to search in a fold plan, told beforehand, so that nobody waits for hours by mistake."""

from collections.abc import Sequence
from typing import Final, NamedTuple

from registry.engineering.folding_options import zone_wirings
from registry.engineering.folding_parts import FoldZone, Mode

_STEPS: Final = 400  # the load of one amplifier in so many parts


class Work(NamedTuple):
    """Groups that one amplifier may carry, and ways to load its channels with the fullest of them."""

    groups: float
    ways: float

    def within(self, *, groups: float, ways: float) -> bool:
        """Whether neither count is above its limit."""
        return self.groups <= groups and self.ways <= ways


def work_of(zones: Sequence[FoldZone], mode: Mode) -> Work:
    """An upper bound of what `fold` searches for zones that may share an amplifier, whatever their levels.

    Both counts come from a knapsack over the amplifier's conductance in 400 parts, rounded down.

    Parameters:
        zones: of one class (source, hours, controller, line kind), none of unknown impedance.
        mode: the amplifier's channels and their lowest load.
    Returns:
        The two counts. A search of 5e5 groups and 1e5 ways took about 2 s on one core of a small server.
    Raises:
        ValueError: what `zone_wirings` refuses.
    Source: ours; the timings were measured.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> coils = tuple(FoldCoil(f"LS{n}", 8.0) for n in range(2))
    >>> zone = FoldZone(name="Shop", coils=coils, wanted_db=60.0, level_at_283_db=80.0, life_safety="no")
    >>> work_of([zone], Mode("two channels", 2, 4.0)).within(groups=5e5, ways=1e5)
    True
    """
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
