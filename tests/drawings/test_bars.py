"""Bars: as long as their values, beginning at zero, with the value in words."""

import pytest

from registry.drawings.bars import Bar, BarChart, draw_bars
from tests.drawings.reading import by_class, by_tag, numbers, parsed, said, texts


def drawn(*bars, width=360):
    return parsed(draw_bars(BarChart("Age", bars), width=width))


@pytest.mark.parametrize("width", [360, 720])
def test_lengths_are_in_proportion_and_begin_at_the_same_place(width):
    made = drawn(Bar("a", 3), Bar("b", 12), Bar("c", 6), width=width)
    boxes = [numbers(node, "x", "width") for node in by_tag(made, "rect")]
    assert len({x for x, _ in boxes}) == 1
    assert [w / boxes[1][1] for _, w in boxes] == pytest.approx([0.25, 1, 0.5], abs=1e-3)


def test_every_label_and_value_is_written():
    made = drawn(Bar("0 to 3 years", 7, "7 items"), Bar("2027", 1200.5), Bar("bought when", None))
    assert texts(made) == ["0 to 3 years", "7 items", "2027", "1200.5", "bought when", "not known"]
    assert said(made) == "0 to 3 years: 7 items; 2027: 1200.5; bought when: not known."


def test_zero_and_unknown_have_no_bar_but_different_words():
    made = drawn(Bar("a", 0), Bar("b", None))
    assert by_tag(made, "rect") == []
    assert [bar.get("data-value") for bar in by_class(made, "bar")] == ["0", ""]
    assert texts(made) == ["a", "0", "b", "not known"]


def test_a_long_label_is_wrapped_and_rows_do_not_run_into_each_other():
    label = "not known when it was bought by the owner before the last one"
    made = drawn(Bar("a", 1), Bar(label, 2, "2 items"), Bar("b", 3))
    assert label in " ".join(texts(made))
    lows = [[float(node.get("y")) for node in by_tag(bar, "text")] for bar in by_class(made, "bar")]
    assert max(lows[0]) < min(lows[1])
    assert max(lows[1]) < min(lows[2])


def test_no_bars_say_what_is_missing():
    assert texts(drawn()) == ["Nothing to show yet."]


@pytest.mark.parametrize("value", [-1, float("nan"), float("inf")])
def test_a_value_that_no_bar_can_show_is_refused(value):
    with pytest.raises(ValueError, match="0 or more, or None"):
        Bar("a", value)
