"""A search that would not end in time is refused beforehand, with what to do."""

from itertools import pairwise

import pytest

from registry.engineering.folding import FoldCoil, FoldZone, Mode
from registry.engineering.folding_work import work_of
from registry.planning.computing import MOST_GROUPS, MOST_WAYS

TWO_CHANNELS = Mode("two channels", 2, 4.0)


def zone(number: int, ohms: list[float]) -> FoldZone:
    coils = tuple(FoldCoil(f"LS{number}-{place}", ohm) for place, ohm in enumerate(ohms))
    return FoldZone(name=f"Z{number}", coils=coils, wanted_db=60.0, level_at_283_db=80.0, life_safety="no")


def test_unlike_high_impedances_are_told_beforehand() -> None:
    # Eight such zones were measured to take two minutes and several gigabytes.
    zones = [zone(number, [100.0 + 13 * number + 7 * place for place in range(8)]) for number in range(8)]
    assert not work_of(zones, TWO_CHANNELS).within(groups=MOST_GROUPS, ways=MOST_WAYS)


@pytest.mark.parametrize("ohm", [8.0, 16.0])
def test_fourteen_ordinary_zones_are_searched(ohm: float) -> None:
    zones = [zone(number, [ohm, ohm]) for number in range(14)]
    assert work_of(zones, TWO_CHANNELS).within(groups=MOST_GROUPS, ways=MOST_WAYS)


def test_adding_a_zone_never_lessens_the_work() -> None:
    zones = [zone(number, [8.0, 8.0, 16.0]) for number in range(6)]
    counts = [work_of(zones[:count], TWO_CHANNELS) for count in range(1, 7)]
    assert all(then.groups >= first.groups and then.ways >= first.ways for first, then in pairwise(counts))
