"""The level strip: the mark stands where its level is, the words say what the picture shows."""

from itertools import pairwise

import pytest

from registry.drawings.level_strip import LevelStrip, draw_level_strip
from tests.drawings.reading import by_class, by_tag, numbers, parsed, said, texts

NAMES = {"baseline_db": 70.0, "tolerance_db": 2.0}


def drawn(word="within", **values):
    return parsed(draw_level_strip(LevelStrip("Bar", word, **values)))


def mark_x(root):
    (mark,) = by_class(root, "mark")
    return numbers(by_tag(mark, "circle")[0], "cx")[0]


def band(root):
    x, width = numbers(by_class(root, "fill-band")[0], "x", "width")
    return x, x + width


def notch_x(root):
    return sum(float(point.split(",")[0]) for point in by_class(root, "notch")[0].get("points").split()) / 3


def test_the_mark_moves_evenly_with_the_level():
    xs = [mark_x(drawn("undecided", reading_db=70 + at / 2, **NAMES)) for at in range(-20, 21)]
    steps = [after - before for before, after in pairwise(xs)]
    assert min(steps) > 0
    assert max(steps) - min(steps) < 0.03  # coordinates are rounded to hundredths


def test_the_baseline_is_in_the_middle_of_the_band_and_a_reading_on_it_too():
    root = drawn(reading_db=70.0, **NAMES)
    left, right = band(root)
    assert notch_x(root) == pytest.approx((left + right) / 2, abs=0.02)
    assert mark_x(root) == pytest.approx(notch_x(root), abs=0.02)


def test_a_reading_at_the_tolerance_stands_on_the_edge_of_the_band():
    left, right = band(drawn(reading_db=70.0, **NAMES))
    assert mark_x(drawn(reading_db=72.0, **NAMES)) == pytest.approx(right, abs=0.02)
    assert mark_x(drawn(reading_db=68.0, **NAMES)) == pytest.approx(left, abs=0.02)


def test_whiskers_reach_as_far_as_the_uncertainty():
    root = drawn(reading_db=71.0, uncertainty_db=1.5, **NAMES)
    x1, x2 = numbers(by_class(root, "whisker")[0], "x1", "x2")
    per_db = mark_x(root) - notch_x(root)
    assert x2 - x1 == pytest.approx(3 * per_db, abs=0.05)
    assert (x1 + x2) / 2 == pytest.approx(mark_x(root), abs=0.02)
    assert len(by_class(root, "whisker-end")) == 2


def test_no_uncertainty_no_whiskers_and_it_is_said():
    root = drawn(reading_db=71.0, **NAMES)
    assert by_class(root, "whisker") == []
    assert "± not known" in said(root)


def test_a_decibel_is_as_wide_on_every_strip():
    narrow = drawn(reading_db=70.0, baseline_db=70, tolerance_db=1)
    wide = drawn(reading_db=88.0, baseline_db=88, tolerance_db=4)
    (a, b), (c, d) = band(narrow), band(wide)
    assert (d - c) == pytest.approx(4 * (b - a), abs=0.05)


def test_a_tolerance_beyond_the_scale_widens_the_scale():
    left, right = band(drawn(reading_db=70.0, baseline_db=70, tolerance_db=15))
    assert 12 < left < right < 208


@pytest.mark.parametrize(("level", "beyond"), [(45.2, "lower"), (99.9, "upper")])
def test_a_reading_off_the_scale_is_an_arrow_at_that_end_with_its_number(level, beyond):
    root = drawn("out", reading_db=level, uncertainty_db=1, **NAMES)
    (arrow,) = by_class(root, "off-scale")
    tip = [float(point.split(",")[0]) for point in arrow.get("points").split()][1]
    assert tip == (12 if beyond == "lower" else 208)
    assert f"{level:.1f}" in texts(root)
    assert by_tag(by_class(root, "mark")[0], "circle") == []


@pytest.mark.parametrize(
    ("word", "values", "dots", "bars"),
    [
        ("within", {"reading_db": 70.5, **NAMES}, 1, 2),
        ("out", {"reading_db": 75.0, **NAMES}, 1, 2),
        ("undecided", {"reading_db": 72.1, **NAMES}, 1, 2),
        ("not measured", NAMES, 0, 2),
        ("no baseline", {"reading_db": 70.0}, 0, 1),
    ],
)
def test_every_word_stands_there_with_its_own_shape(word, values, dots, bars):
    root = drawn(word, **values)
    (glyph,) = by_class(root, "glyph")
    assert word in texts(root)
    assert said(root).startswith(word)
    assert (len(by_tag(glyph, "circle")), len(by_tag(glyph, "line"))) == (dots, bars)


def test_the_three_verdicts_differ_in_where_the_dot_stands():
    places = set()
    for word in ("within", "out", "undecided"):
        (glyph,) = by_class(drawn(word, reading_db=70, **NAMES), "glyph")
        places.add(numbers(by_tag(glyph, "circle")[0], "cx")[0])
    assert len(places) == 3


def test_without_a_baseline_there_is_no_band_and_no_notch_and_without_a_reading_no_mark():
    assert by_class(drawn("no baseline", reading_db=66.6), "tolerance") == []
    assert by_class(drawn("not measured", **NAMES), "mark") == []
    nothing = drawn("no baseline")
    assert by_class(nothing, "tolerance") == by_class(nothing, "mark") == []
    assert "no reading" in texts(nothing)


def test_an_upper_bound_is_said_and_its_whisker_has_no_lower_end():
    root = drawn("undecided", reading_db=69.0, uncertainty_db=1.0, at_most=True, **NAMES)
    assert "≤ 69.0" in texts(root)
    assert "≤ −1.0 ± 1.0 dB" in texts(root)
    assert numbers(by_class(root, "whisker")[0], "x1") == [12]
    assert len(by_class(root, "whisker-end")) == 1


@pytest.mark.parametrize(
    ("word", "values", "says"),
    [
        ("within", {"baseline_db": 70}, "tolerance_db, reading_db"),
        ("out", {"reading_db": 70, "tolerance_db": 2}, "baseline_db"),
        ("undecided", {"baseline_db": 70}, "reading_db"),
        ("not measured", {"reading_db": 70}, "reading_db None"),
        ("no baseline", {"baseline_db": 70}, "baseline_db None"),
        ("within", {"baseline_db": 70, "tolerance_db": -1, "reading_db": 70}, "0 or more"),
        ("no baseline", {"reading_db": float("nan")}, "finite"),
        ("fine", {}, "one of"),
    ],
)
def test_words_and_values_that_contradict_each_other_are_refused(word, values, says):
    with pytest.raises(ValueError, match=says):
        draw_level_strip(LevelStrip("Bar", word, **values))
