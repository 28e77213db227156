"""Fold plans within a stock against enumeration: every partition, every way to give its groups an amplifier."""

import math
from collections import Counter
from functools import cache
from itertools import product

import pytest

from registry.engineering.folding import AmplifierType, FoldZone, Mode, Weights, fold
from registry.engineering.folding_stock import plans_within_stock, within_stock
from tests.engineering.folding_cases import random_zones, zone
from tests.engineering.folding_enumeration import group_penalty, partitions, recomputed_penalty

SMALL = AmplifierType("Small", (Mode("mono", 2, 4.0, max_drive_db=-14.0),), price=400.0)
LARGE = AmplifierType("Large", (Mode("mono", 2, 2.0), Mode("bridged", 1, 4.0)), price=900.0)
THIRD = AmplifierType("Third", (Mode("mono", 4, 8.0),), price=650.0)


def enumerated(
    zones: list[FoldZone], amplifiers: tuple[AmplifierType, ...], at_most: dict[str, int], weights: Weights
) -> dict[int, float]:
    """Least penalty for each number of amplifiers, none taken more often than there are."""
    found: dict[int, float] = {}

    @cache
    def penalty(part: tuple[int, ...], name: str) -> float:
        amplifier = next(one for one in amplifiers if one.name == name)
        some = [zones[n] for n in part]
        return min(group_penalty(some, amplifier, mode, weights) for mode in amplifier.modes)

    for parts in partitions(range(len(zones))):
        for chosen in product(amplifiers, repeat=len(parts)):
            counts = Counter(amplifier.name for amplifier in chosen)
            if any(counts[name] > most for name, most in at_most.items()):
                continue
            total = math.fsum(
                penalty(tuple(part), amplifier.name) for part, amplifier in zip(parts, chosen, strict=True)
            )
            if total < found.get(len(parts), math.inf):
                found[len(parts)] = total
    return found


def classes_of(zones: list[FoldZone]) -> list[list[FoldZone]]:
    return [[one for one in zones if one.source == source] for source in dict.fromkeys(one.source for one in zones)]


@pytest.mark.parametrize(
    ("seed", "at_most"),
    [
        (1, {"Small": 1}),
        (2, {"Large": 1}),
        (3, {"Small": 1, "Large": 1}),
        (4, {"Small": 2, "Large": 1, "Third": 1}),
        (5, {"Small": 0, "Large": 2}),
        (6, {"Third": 1, "Large": 2}),
    ],
)
def test_the_best_plans_within_a_stock_are_those_that_enumeration_finds(seed: int, at_most: dict[str, int]) -> None:
    zones = random_zones(5, 700 + seed, classes=1 + seed % 2, most=3, tolerance_db=3.1)
    amplifiers, weights = (SMALL, LARGE, THIRD), Weights(price=0.5)
    plans = plans_within_stock(classes_of(zones), amplifiers, at_most=at_most, weights=weights)
    assert {len(plan.amplifiers): pytest.approx(plan.penalty) for plan in plans} == enumerated(
        zones, amplifiers, at_most, weights
    )
    for plan in plans:
        assert within_stock(plan, at_most)
        assert recomputed_penalty(plan, zones, amplifiers, weights) == pytest.approx(plan.penalty)


def test_without_limits_it_finds_what_the_search_without_a_stock_finds() -> None:
    zones = random_zones(7, 3, classes=2)
    free = fold(zones, [SMALL, LARGE], explain=False).plans
    assert [(len(p.amplifiers), pytest.approx(p.penalty)) for p in free] == [
        (len(p.amplifiers), p.penalty) for p in plans_within_stock(classes_of(zones), [SMALL, LARGE], at_most={})
    ]


def test_one_of_each_is_found_where_neither_would_do_by_itself() -> None:
    pair = [zone("Bar", 1, 4.0), zone("Hall", 1, 4.0)]
    one, two = (AmplifierType(name, (Mode("mono", 1, 4.0),)) for name in ("One", "Two"))
    (plan,) = plans_within_stock([pair], [one, two], at_most={"One": 1, "Two": 1})
    assert sorted(box.amplifier for box in plan.amplifiers) == ["One", "Two"]
    assert plans_within_stock([pair], [one], at_most={"One": 1}) == ()


def test_a_negative_number_and_too_many_combinations_are_refused() -> None:
    pair = [zone("Bar", 1, 4.0)]
    with pytest.raises(ValueError, match="number of Small"):
        plans_within_stock([pair], [SMALL], at_most={"Small": -1})
    many = [AmplifierType(f"Type {n}", (Mode("mono", 2, 4.0),)) for n in range(9)]
    with pytest.raises(ValueError, match="limit fewer types"):
        plans_within_stock([[zone(f"Z{n}", 1, 8.0) for n in range(3)]], many, at_most={one.name: 2 for one in many})
