"""Dial and cap: the same output at another position, and the inverse of every taper."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.dial import cap_for, dial_for, dial_under, drive_db, output_percent
from tests.engineering.reference import close, each, rows

QUICK = settings(deadline=None, database=None, max_examples=150)
POINTS = ((0.0, -70.0), (20.0, -35.0), (50.0, -14.0), (80.0, -4.0), (100.0, 0.0))
TAPERS = st.sampled_from(["linear", "audio", POINTS])
PERCENT = st.floats(min_value=1.0, max_value=100.0)


@each("level_dial_and_decibels", "effective_level")
def test_output_follows_dial_times_cap(row):
    close(row, output_percent(row.inputs["dial"], row.inputs["cap"]))


REACHABLE = [row for row in rows("level_dial_and_decibels", "dial_equivalent") if row.expected is not None]
BEYOND = [row for row in rows("level_dial_and_decibels", "dial_equivalent") if row.expected is None]


@pytest.mark.parametrize("row", REACHABLE, ids=lambda row: row.id)
def test_the_dial_that_gives_the_same_under_another_cap(row):
    close(row, dial_under(row.inputs["cap_to"], dial=row.inputs["dial"], cap=row.inputs["cap_from"]))


@pytest.mark.parametrize("row", BEYOND, ids=lambda row: row.id)
def test_a_dial_beyond_its_travel_is_refused(row):
    with pytest.raises(ValueError, match=r"133\.3 % .*choose a cap of 80 % or more"):
        dial_under(row.inputs["cap_to"], dial=row.inputs["dial"], cap=row.inputs["cap_from"])


def test_thirty_percent_uncapped_is_a_cap_of_sixty_at_half():  # common practice
    assert cap_for(30.0, 100.0, 50.0) == 60.0
    assert cap_for(38.0, 100.0, 50.0) == 76.0
    assert cap_for(50.0, 60.0, 50.0) == 60.0


def test_a_cap_that_would_pass_the_end_is_refused_with_two_ways_out():
    with pytest.raises(ValueError, match=r"160 %.*raise the gain.*4\.1 dB.*default position to 80 % or more"):
        cap_for(80.0, 100.0, 50.0)
    assert cap_for(80.0, 100.0, 80.0) == 100.0


@QUICK
@given(dial=PERCENT, cap=PERCENT, position=PERCENT)
def test_the_new_cap_keeps_the_output(dial, cap, position):
    try:
        new = cap_for(dial, cap, position)
    except ValueError:
        assert dial * cap / position > 100
    else:
        assert output_percent(position, new) == pytest.approx(output_percent(dial, cap))


def test_the_ends_of_the_tapers():
    assert drive_db(100.0, 100.0, "linear") == 0.0
    assert drive_db(0.0, 100.0, "linear") == -math.inf
    assert drive_db(100.0, 100.0, "audio") == 0.0
    assert drive_db(0.0, 100.0, "audio") == -60.0
    assert drive_db(50.0, 100.0, POINTS) == -14.0
    assert drive_db(100.0, 50.0, POINTS) == -14.0
    assert drive_db(35.0, 100.0, POINTS) == pytest.approx(-24.5)


@QUICK
@given(dial=PERCENT, cap=PERCENT, change=st.floats(min_value=-70, max_value=70), taper=TAPERS)
def test_the_dial_for_a_change_gives_that_change(dial, cap, change, taper):
    try:
        new = dial_for(change, dial=dial, cap=cap, taper=taper)
    except ValueError as refusal:
        assert "the dial reaches" in str(refusal)
        return
    assert 0 <= new <= 100
    assert drive_db(new, cap, taper) - drive_db(dial, cap, taper) == pytest.approx(change, abs=1e-6)


@QUICK
@given(one=PERCENT, other=PERCENT, cap=PERCENT, taper=TAPERS)
def test_a_higher_dial_is_never_quieter(one, other, cap, taper):
    low, high = sorted((one, other))
    assert drive_db(low, cap, taper) <= drive_db(high, cap, taper)


def test_a_flat_measured_taper_gives_the_lowest_position():
    assert dial_for(0.0, dial=90.0, taper=[(0.0, -40.0), (60.0, 0.0), (100.0, 0.0)]) == 60.0


@pytest.mark.parametrize(
    "points",
    [
        [],
        [(0.0, 0.0)],
        [(0.0, -40.0), (0.0, 0.0)],
        [(50.0, -40.0), (20.0, 0.0)],
        [(0.0, 0.0), (50.0, -10.0)],
        [(0.0, -40.0), (120.0, 0.0)],
        [(0.0, -math.inf), (100.0, 0.0)],
        "logarithmic",
    ],
)
def test_a_taper_that_is_none_is_refused(points):
    with pytest.raises(ValueError, match="taper"):
        drive_db(50.0, 100.0, points)


def test_nothing_is_read_outside_the_measured_points():
    with pytest.raises(ValueError, match="measure the taper there first"):
        drive_db(10.0, 100.0, [(20.0, -30.0), (100.0, 0.0)])
    with pytest.raises(ValueError, match="the dial reaches"):
        dial_for(-40.0, dial=50.0, taper=[(20.0, -30.0), (100.0, 0.0)])


@pytest.mark.parametrize("value", [-1.0, 100.5, math.nan, math.inf])
def test_percentages_out_of_range_are_refused(value):
    for call in (
        lambda: output_percent(value, 50.0),
        lambda: output_percent(50.0, value),
        lambda: cap_for(50.0, 50.0, value),
        lambda: dial_under(value, dial=50.0, cap=50.0),
    ):
        with pytest.raises(ValueError, match="allowed"):
            call()


def test_what_is_off_has_no_level_to_change():
    with pytest.raises(ValueError, match="turn it up first"):
        dial_for(3.0, dial=0.0)
    with pytest.raises(ValueError, match="allowed"):
        cap_for(0.0)
    with pytest.raises(ValueError, match="allowed"):
        dial_for(math.nan, dial=50.0)
