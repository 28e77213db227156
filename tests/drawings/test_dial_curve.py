"""The dial: its tapers against textbook values, the default position and the cap where they belong."""

import pytest

from registry.drawings.dial_curve import DialCurve, draw_dial_curve
from tests.drawings.reading import by_class, by_tag, numbers, parsed, said, texts

LEFT, RIGHT, TOP, BOTTOM = 36, 346, 50, 230


def drawn(**values):
    return parsed(draw_dial_curve(DialCurve("Bar", **values)))


def points(made, taper):
    (curve,) = [each for each in by_class(made, "taper") if each.get("data-taper") == taper]
    drawn_points = [map(float, point.split(",")) for point in by_tag(curve, "polyline")[0].get("points").split()]
    return [((x - LEFT) / (RIGHT - LEFT) * 100, (y - BOTTOM) / (TOP - BOTTOM) * 60 - 60) for x, y in drawn_points]


def test_curves_pass_through_known_levels():
    # Half the voltage is 20 lg 0.5 = −6.02 dB; an audio taper of 60 dB is at −30 dB in the middle (common practice).
    made = drawn(measured=((0, -50), (100, 0)))
    for taper, level in (("linear", -6.02), ("audio", -30), ("measured", -25)):
        nearest = min(points(made, taper), key=lambda point: abs(point[0] - 50))
        assert nearest[0] == pytest.approx(50, abs=1)
        assert nearest[1] == pytest.approx(level, abs=0.6)


def test_curves_rise_and_stay_inside():
    for taper in ("linear", "audio"):
        read = points(drawn(), taper)
        assert read == sorted(read)
        assert [level for _, level in read] == sorted(level for _, level in read)
        assert all(-60.01 <= level <= 0.01 for _, level in read)


@pytest.mark.parametrize(("default", "cap"), [(50, 60), (50, 76), (100, 100), (0, 20)])
def test_cap_and_default_position_stand_where_dial_times_cap_puts_them(default, cap):
    made = drawn(default_position=default, cap=cap)
    at_cap = numbers(by_class(made, "cap")[0], "x1")[0]
    at_default = numbers(by_tag(by_class(made, "default-position")[0], "line")[0], "x1")[0]
    assert at_cap == pytest.approx(LEFT + (RIGHT - LEFT) * cap / 100, abs=0.01)
    assert at_default == pytest.approx(LEFT + (RIGHT - LEFT) * default * cap / 10_000, abs=0.01)
    assert {f"cap {cap} %: dial at 100 %", f"default position {default} %"} <= set(texts(made))


def test_thirty_percent_uncapped_is_the_default_position_under_a_cap_of_sixty():
    # Common practice: 30 % uncapped is a 60 % cap at 50 %.
    assert said(drawn(default_position=50, cap=60)).startswith(
        "Cap 60 %. Dial at its default position 50 %: the control stands at 30 %."
    )


def test_tapers_differ_in_their_dashes_and_each_has_its_level_in_words():
    made = drawn(default_position=50, cap=60, measured=((0, -60), (100, 0)))
    dashes = {by_tag(curve, "polyline")[0].get("stroke-dasharray") for curve in by_class(made, "taper")}
    assert len(dashes) == 3
    for words in ("linear: −10.5 dB", "audio: −42.0 dB", "measured: −42.0 dB"):
        assert f"{words} at the default position" in texts(made)


def test_a_linear_control_at_zero_is_off_and_a_measured_one_without_points_there_is_not_known():
    made = texts(drawn(default_position=0, measured=((20, -40), (100, 0))))
    assert "linear: off at the default position" in made
    assert "measured: not known at the default position" in made


def test_without_measured_points_only_two_tapers_are_drawn():
    assert len(by_class(drawn(), "taper")) == 2


@pytest.mark.parametrize("bad", [{"cap": 0}, {"cap": 101}, {"default_position": -1}, {"default_position": 101}])
def test_positions_out_of_range_are_refused(bad):
    with pytest.raises(ValueError, match=r"dial|cap"):
        drawn(**bad)
