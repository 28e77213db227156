"""Fold plans against exhaustive enumeration: all partitions × all wirings (the outside check), and a general solver."""

from dataclasses import replace

import pytest

from registry.engineering.folding import AmplifierType, FoldZone, Mode, Weights, fold
from tests.engineering.folding_cases import TWO_CHANNELS, library, random_zones
from tests.engineering.folding_enumeration import best_by_count, recomputed_penalty
from tests.engineering.folding_solver import integer_program

SMALL_AND_LARGE = (
    AmplifierType("Small", (Mode("mono", 2, 4.0, max_drive_db=-14.0),), price=400.0),
    AmplifierType("Large", (Mode("mono", 2, 2.0), Mode("bridged", 1, 4.0)), price=900.0),
)
FOUR_CHANNELS = (AmplifierType("Four channels", (Mode("mono", 4, 8.0, max_drive_db=-12.0),)),)


def compare_with_enumeration(zones: list[FoldZone], amplifiers: tuple[AmplifierType, ...], weights: Weights) -> None:
    result = fold(zones, amplifiers, weights=weights, explain=False)
    expected = best_by_count(zones, amplifiers, weights)
    assert expected
    assert {len(plan.amplifiers): pytest.approx(plan.penalty) for plan in result.plans} == expected
    for plan in result.plans:
        assert recomputed_penalty(plan, zones, amplifiers, weights) == pytest.approx(plan.penalty)


@pytest.mark.parametrize("seed", range(12))
def test_small_sites_get_the_plans_that_enumeration_finds(seed: int) -> None:
    zones = random_zones(4 + seed % 3, seed, classes=1 + seed % 2, most=4, tolerance_db=(1.1, 2.1, 4.1)[seed % 3])
    compare_with_enumeration(zones, (TWO_CHANNELS,), Weights())


@pytest.mark.parametrize("seed", range(4))
def test_eight_zones_get_the_plans_that_enumeration_finds(seed: int) -> None:
    compare_with_enumeration(random_zones(8, 100 + seed, classes=1 + seed % 2, most=3), (TWO_CHANNELS,), Weights())


@pytest.mark.parametrize("seed", range(6))
def test_types_modes_prices_and_drive_limits_are_chosen_as_enumeration_does(seed: int) -> None:
    zones = random_zones(5, 200 + seed, most=4, tolerance_db=3.1)
    compare_with_enumeration(zones, SMALL_AND_LARGE, Weights(price=0.5, rewiring=7.0))


@pytest.mark.parametrize("seed", [0, 2, 4, 9])
def test_four_channels_are_packed_as_enumeration_does(seed: int) -> None:
    zones = [replace(zone, longest_string=3) for zone in random_zones(4, 300 + seed, most=4, tolerance_db=6.0)]
    compare_with_enumeration(zones, FOUR_CHANNELS, Weights(amplifier=0.0, series=20.0, shared_fate=5.0))


@pytest.mark.parametrize("seed", [2, 6, 11])
def test_loudspeaker_ratings_and_controls_count_as_in_enumeration(seed: int) -> None:
    zones = [
        replace(
            zone,
            control_db=3.0 * (n % 2),
            coils=tuple(replace(coil, rated_power_w=0.02 * (1 + n)) for coil in zone.coils),
        )
        for n, zone in enumerate(random_zones(5, 400 + seed, most=4, tolerance_db=2.1))
    ]
    compare_with_enumeration(zones, (TWO_CHANNELS,), Weights())


@pytest.mark.parametrize("seed", range(3))
def test_a_stereo_amplifier_serves_one_room_with_both_channels_as_enumeration_finds(seed: int) -> None:
    stereo = (AmplifierType("Stereo", (Mode("stereo", 2, 4.0, mono=False),)), TWO_CHANNELS)
    zones = [
        replace(zone, coils=tuple(replace(coil, room=f"room {n // 2}") for coil in zone.coils))
        for n, zone in enumerate(random_zones(5, 500 + seed, most=4, tolerance_db=4.1))
    ]
    compare_with_enumeration(zones, stereo, Weights(amplifier=100.0))


def test_the_worked_example_is_what_enumeration_finds() -> None:
    compare_with_enumeration(library(2.0), (TWO_CHANNELS,), Weights())


@pytest.mark.parametrize(("count", "classes", "seed"), [(6, 1, 1), (8, 3, 2), (10, 4, 2), (12, 6, 3), (14, 7, 4)])
def test_a_general_solver_finds_the_same_optimum(count: int, classes: int, seed: int) -> None:
    # scipy.optimize.milp (HiGHS); pairs of zones are no linear cost, so shared fate is left out.
    weights = Weights(shared_fate=0.0)
    zones = random_zones(count, seed, classes=classes)
    found = integer_program(zones, TWO_CHANNELS.modes[0], weights, seconds=60.0)
    assert found.status == 0
    best = fold(zones, [TWO_CHANNELS], weights=weights, explain=False).best
    assert best is not None
    assert best.penalty == pytest.approx(found.fun, abs=1e-4)
