"""Diagnosis on simulated faults: random lines, phone-meter noise at fixed spots, a simulation apart from the code."""

import pytest

from tests.benchmarks.diagnosis import Trial, trials


@pytest.fixture(scope="module")
def made() -> list[Trial]:
    """Seven faults of every kind, the first of those that the benchmark makes."""
    return list(trials(7, seed=1))


def test_a_fault_that_the_spots_can_tell_comes_first_or_among_three(made: list[Trial]) -> None:
    clear = [one for one in made if one.clear]
    assert len(clear) >= 15
    assert sum(one.rank == 1 for one in clear) >= 0.90 * len(clear)
    assert sum(one.rank <= 3 for one in clear) >= 0.98 * len(clear)


def test_a_fault_that_the_spots_cannot_tell_is_named_among_those_that_look_alike(made: list[Trial]) -> None:
    unclear = [one for one in made if not one.clear]
    assert len(unclear) >= 25
    assert sum(one.named for one in unclear) >= 0.95 * len(unclear)
    # The group is about as large as the number of faults that do look alike, so naming costs no guessing.
    assert sum(one.group for one in unclear) <= 1.3 * sum(one.alike for one in unclear)


def test_the_readings_that_are_asked_for_lead_to_the_fault() -> None:
    followed = [one for one in trials(2, seed=1, follow=True) if one.clear]
    assert len(followed) >= 8
    assert sum(one.rank == 1 for one in followed) >= 0.85 * len(followed)
