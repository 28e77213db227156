"""Readings over time: linear in both directions, as found and as left told apart by shape."""

from datetime import date, timedelta
from itertools import pairwise

import pytest

from registry.drawings.axes import date_ticks, linear, ticks
from registry.drawings.history_chart import HistoryBaseline, HistoryReading, LevelHistory, draw_history
from tests.drawings.reading import by_class, by_tag, numbers, parsed, said, tag, texts

DAY = date(2024, 3, 12)


def drawn(*readings, baselines=(), width=360):
    return parsed(draw_history(LevelHistory("Bar", readings, baselines), width=width))


def place(reading):
    (mark,) = by_class(reading, "work")
    if mark.get("data-state") == "as left":
        return tuple(numbers(by_tag(mark, "circle")[0], "cx", "cy"))
    points = [tuple(map(float, point.split(","))) for point in by_tag(mark, "polygon")[0].get("points").split()]
    return sum(x for x, _ in points) / 4, sum(y for _, y in points) / 4


@pytest.mark.parametrize("width", [360, 720])
def test_time_runs_right_and_level_runs_up_both_evenly(width):
    made = drawn(*(HistoryReading(DAY + timedelta(days=60 * at), 60 + 2 * at) for at in range(6)), width=width)
    spots = [place(reading) for reading in by_class(made, "reading")]
    right = [b[0] - a[0] for a, b in pairwise(spots)]
    up = [a[1] - b[1] for a, b in pairwise(spots)]
    for steps in (right, up):
        assert min(steps) > 0
        assert max(steps) - min(steps) < 0.05


def test_readings_given_in_any_order_are_drawn_in_order_of_time():
    late, early = HistoryReading(date(2025, 1, 1), 70), HistoryReading(DAY, 60)
    assert [r.get("data-level-db") for r in by_class(drawn(late, early), "reading")] == ["60", "70"]


def test_as_found_is_a_hollow_square_as_left_a_disc_and_on_one_day_they_stand_beside_each_other():
    found, left = by_class(drawn(HistoryReading(DAY, 66, 1), HistoryReading(DAY, 70, 1, "as left")), "reading")
    assert [tag(node) for node in by_class(found, "work")[0]] == ["polygon"]
    assert [tag(node) for node in by_class(left, "work")[0]] == ["circle"]
    assert place(left)[0] - place(found)[0] == pytest.approx(10, abs=0.02)


def test_band_baseline_and_whiskers_are_on_the_scale_of_the_readings():
    made = drawn(
        HistoryReading(DAY, 70, 2), HistoryReading(date(2025, 1, 1), 74), baselines=(HistoryBaseline(DAY, 70, 4, "1"),)
    )
    at_70, at_74 = (place(reading)[1] for reading in by_class(made, "reading"))
    y, height = numbers(by_tag(by_class(made, "baseline")[0], "rect")[0], "y", "height")
    assert y == pytest.approx(at_74, abs=0.02)
    assert y + height / 2 == pytest.approx(at_70, abs=0.02)
    y1, y2 = numbers(by_class(made, "whisker")[0], "y1", "y2")
    assert abs(y1 - y2) == pytest.approx(at_70 - at_74, abs=0.03)  # ± 2 dB is 4 dB high, like 70 to 74


def test_a_new_baseline_ends_the_one_before():
    first, second = by_class(
        drawn(
            HistoryReading(date(2025, 6, 1), 70),
            baselines=(HistoryBaseline(date(2025, 1, 1), 72, 3), HistoryBaseline(DAY, 70, 2)),
        ),
        "baseline",
    )
    x, width = numbers(by_tag(first, "rect")[0], "x", "width")
    assert first.get("data-level-db") == "70"
    assert numbers(by_tag(second, "rect")[0], "x")[0] == pytest.approx(x + width, abs=0.02)


def test_no_tolerance_no_band_no_uncertainty_no_whisker():
    made = drawn(HistoryReading(DAY, 70), baselines=(HistoryBaseline(DAY, 70),))
    assert by_tag(by_class(made, "baseline")[0], "rect") == []
    assert by_class(made, "whisker") == []
    assert said(made) == (
        "Baseline from 12 Mar 2024: 70.0 dB, tolerance ± not known. 12 Mar 2024, as found 70.0 dB ± not known."
    )


def test_without_anything_it_says_what_to_do():
    assert texts(drawn()) == ["No readings yet. Take the first at the marked spot."]


def test_forty_readings_are_forty_marks():
    made = drawn(*(HistoryReading(date(2015 + at // 4, 1 + 3 * (at % 4), 5), 60 + at % 9) for at in range(40)))
    assert len(by_class(made, "reading")) == 40


@pytest.mark.parametrize("bad", [{"level_db": float("nan")}, {"level_db": 70, "uncertainty_db": -1}])
def test_a_reading_that_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="must be"):
        HistoryReading(DAY, **bad)


def test_axis_ticks_lie_inside_at_round_values():
    for low, high in ((61.2, 72.9), (0, 1), (-0.4, 0.2), (12_345, 98_765)):
        made = ticks(low, high)
        assert low <= made[0] < made[-1] <= high + 1e-9
        assert 2 <= len(made) <= 7


def test_date_names_are_few_and_rising():
    for days in (3, 20, 100, 400, 2000, 9000):
        names = date_ticks(DAY, DAY + timedelta(days=days))
        assert 1 <= len(names) <= 4
        assert names == sorted(names)


def test_an_axis_without_length_is_refused():
    with pytest.raises(ValueError, match="two different ends"):
        linear(3, 3, start=0, end=1)
    with pytest.raises(ValueError, match="above 0"):
        ticks(3, 3)
    with pytest.raises(ValueError, match="before it begins"):
        date_ticks(DAY, DAY - timedelta(days=1))
