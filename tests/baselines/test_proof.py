"""Is a change real, and how many readings decide? Checked against mean_and_uncertainty and compare themselves."""

import math
import statistics
from typing import Any

import pytest

from registry.baselines.proof import MOST_REPEATS, proof_of, repeats_that_decide, spread_readings
from registry.demo.factories import ReadingFactory, ZoneFactory
from registry.engineering.measure import REPEATABILITY_DB, Occasion, compare, mean_and_uncertainty, without_background

HERE = Occasion("Meter A", "P1", "Track 1")
FACTS = {"meter": "Meter A", "spot": "P1", "track": "Track 1", "meter_class": "2", "background_db": None}


def entry(level_db: float, **changed: Any) -> dict[str, Any]:
    """A zone's entry in a baseline, or a reading's facts."""
    return FACTS | {"level_db": level_db} | changed


def readings_of(level_db: float, count: int) -> list[float]:
    """Evenly spaced readings of this mean and the usual standard deviation: another pattern than the program's own."""
    steps = [float(number) for number in range(count)]
    step = REPEATABILITY_DB / statistics.stdev(steps)
    return [level_db + step * (each - statistics.mean(steps)) for each in steps]


def verdict_of(level_db: float, then_db: float, *, count: int, tolerance_db: float = 2.0) -> str:
    """What the engineering functions say after `count` readings with the baseline's meter, spot and track."""
    levels = [level_db] if count == 1 else readings_of(level_db, count)
    now = mean_and_uncertainty(levels, "2", occasion=HERE)
    return compare(now, mean_and_uncertainty([then_db], "2", occasion=HERE), tolerance_db).verdict


@pytest.mark.parametrize("count", [2, 3, 4, 5, 9, 20])
def test_the_readings_that_stand_for_repeats_spread_as_single_ones_do(count: int) -> None:
    found = spread_readings(62.0, count)
    assert (len(found), statistics.mean(found)) == (count, pytest.approx(62.0))
    assert statistics.stdev(found) == pytest.approx(REPEATABILITY_DB)
    # s/√n, JCGM 100:2008, 4.2.3.
    assert mean_and_uncertainty(found, "2").repeat_db == pytest.approx(REPEATABILITY_DB / math.sqrt(count))


def test_the_number_of_readings_is_the_fewest_that_decide() -> None:
    found = {}
    for hundredths in range(400):
        now, then = entry(62.0 + hundredths / 100), entry(62.0)
        count = repeats_that_decide(now, then, 2.0)
        found[hundredths] = count
        if count is None:
            assert verdict_of(now["level_db"], 62.0, count=MOST_REPEATS) == "undecided", hundredths
            continue
        assert verdict_of(now["level_db"], 62.0, count=count) != "undecided", hundredths
        assert all(verdict_of(now["level_db"], 62.0, count=fewer) == "undecided" for fewer in range(1, count)), (
            hundredths
        )
    # One reading where the change is small or large, several near the edge of the doubt, none right at the limit.
    assert (found[0], found[200], found[399]) == (1, None, 1)
    assert {count for count in found.values() if count} >= {1, 2, 3, 4}


def test_repeats_in_noise_grow_as_their_background_says() -> None:
    now, then = entry(63.0, background_db=55.0), entry(62.0)
    count = repeats_that_decide(now, then, 2.0)
    measured = [
        without_background(mean_and_uncertainty([63.0] if n == 1 else readings_of(63.0, n), "2", occasion=HERE), 55.0)
        for n in range(1, MOST_REPEATS + 1)
    ]
    base = mean_and_uncertainty([62.0], "2", occasion=HERE)
    decided = [
        n for n, each in enumerate(measured, start=1) if each and compare(each, base, 2.0).verdict != "undecided"
    ]
    assert count == min(decided, default=None)


def test_another_meter_undecided_asks_for_the_baselines_own_once() -> None:
    reading = ReadingFactory.build(zone=ZoneFactory.build(), **entry(62.3, meter="Meter B", meter_class="phone"))
    found = proof_of(reading, entry(62.0), 2.0)
    assert (found.real, found.repeats) == ("undecided", 1)
    assert "Meter another one: the meter's fixed error counts" in found.says
    assert found.next_reading == (
        "Read it once more with Meter A at P1 to Track 1, as the baseline was: if it reads 62.3 dB again, the smallest "
        "change that can be proved falls to 1.02 dB, and the zone is within."
    )


def test_the_answer_names_the_smallest_change_that_is_proved() -> None:
    zone = ZoneFactory.build()
    answers = {
        level_db: proof_of(ReadingFactory.build(zone=zone, **entry(level_db)), entry(62.0), 2.0)
        for level_db in (57.0, 62.4, 64.0)
    }
    assert {level_db: found.real for level_db, found in answers.items()} == {57.0: "yes", 62.4: "no", 64.0: "undecided"}
    # 2 √(2 (0.2² + 0.3² + 0.1²/12)) = 1.02 dB: JCGM 100:2008, 5.1.2, with what is assumed of one reading.
    expected = 2 * math.sqrt(2 * (0.2**2 + 0.3**2 + 0.1**2 / 12))
    assert {round(found.smallest_db or 0, 3) for found in answers.values()} == {round(expected, 3)}
    proves = "these two readings prove a change of 1.0 dB or more"
    assert answers[57.0].says.startswith(f"Yes: −5.0 dB; {proves}, so the level has left its tolerance of ± 2 dB.")
    assert answers[62.4].says.startswith(f"No change is proved: +0.4 dB; {proves}. It is within its tolerance")
    assert answers[64.0].says.startswith("A change is proved, but not on which side of the limit it lies: +2.0 dB;")


def test_right_at_the_limit_no_number_of_readings_decides() -> None:
    reading = ReadingFactory.build(zone=ZoneFactory.build(), **entry(64.0))
    found = proof_of(reading, entry(62.0), 2.0)
    assert found.repeats is None
    assert found.next_reading.startswith("No number of readings up to 20 decides it: the level lies less than 0.1 dB")
    assert "put the level back to what was agreed" in found.next_reading
    untouched = proof_of(reading, entry(62.0), 2.0, may_change=False)
    assert "put the level back" not in untouched.next_reading


def test_a_baseline_without_a_meter_says_what_to_record_next_time() -> None:
    reading = ReadingFactory.build(zone=ZoneFactory.build(), **entry(63.0))
    found = proof_of(reading, entry(62.0, meter=None, track=""), 2.0)
    assert found.repeats is None
    assert (
        "the baseline doesn't record its meter and track, so the meter's fixed error never cancels"
        in found.next_reading
    )


def test_a_zone_that_was_not_read_is_told_what_one_reading_would_prove() -> None:
    found = proof_of(None, entry(62.0), 2.0)
    assert found.real == "unknown"
    assert found.next_reading == (
        "Read it once with Meter A at P1 to Track 1, as the baseline was: that can prove a change of 1.0 dB or more."
    )
    assert proof_of(None, None, 2.0).real == "unknown"
    assert proof_of(None, entry(62.0) | {"level_db": None}, 2.0).next_reading == ""


def test_a_background_too_near_asks_for_quiet() -> None:
    reading = ReadingFactory.build(zone=ZoneFactory.build(), **entry(60.0, background_db=57.0))
    found = proof_of(reading, entry(62.0), 2.0)
    assert found.real == "undecided"
    # ISO 3744: below 6 dB there is only an upper bound; from 15 dB no correction is made.
    assert "when the background is 6 dB or more below the level: 15 dB need no correction" in found.next_reading
    noisy = proof_of(reading, entry(62.0, background_db=60.0), 2.0)
    assert noisy.next_reading.startswith("The baseline itself was read too near to its background")
