"""Networks: the boxes nest as the parts do, every leaf and every group with its value."""

import pytest

from registry.drawings.network_drawing import draw_network
from registry.engineering.network import Parallel, Resistor, Series
from tests.drawings.reading import by_class, by_tag, numbers, parsed, said, texts


def drawn(tree, width=360):
    return parsed(draw_network(tree, title="Bar", width=width))


def ladder(count):
    tree = Series((Resistor(0.2, f"cable {count}"), Resistor(833, f"LS{count}")))
    for at in range(count - 1, 0, -1):
        tree = Series((Resistor(0.2, f"cable {at}"), Parallel((Resistor(833, f"LS{at}"), tree))))
    return tree


# OpenStax, College Physics 2e, example "Calculating resistance, current, power dissipation of a combined circuit":
# 1.00 Ω in series with 6.00 Ω and 13.0 Ω in parallel is 5.11 Ω.
TEXTBOOK = Series((Resistor(1.0, "R1"), Parallel((Resistor(6.0, "R2"), Resistor(13.0, "R3")))))


def test_the_textbook_circuit_shows_its_value_and_those_of_its_parts():
    made = texts(drawn(TEXTBOOK))
    for words in (
        "together: 5.11 Ω",
        "in series: 5.11 Ω",
        "in parallel: 4.11 Ω",
        "R1",
        "1 Ω",
        "R2",
        "6 Ω",
        "R3",
        "13 Ω",
    ):
        assert words in made


def test_boxes_nest_as_the_tree_does():
    (series,) = by_class(drawn(TEXTBOOK), "series")
    (parallel,) = by_class(series, "parallel")
    assert [leaf.get("data-label") for leaf in by_class(parallel, "resistor")] == ["R2", "R3"]
    assert [leaf.get("data-label") for leaf in by_class(series, "resistor")] == ["R1", "R2", "R3"]


def boxes(made):
    return [numbers(by_tag(leaf, "rect")[0], "x", "y", "width", "height") for leaf in by_class(made, "resistor")]


def test_parts_in_series_stand_on_one_conductor_left_to_right_and_branches_below_each_other():
    a, b, c = boxes(drawn(Series(tuple(Resistor(8, label) for label in ("a", "b", "c")))))
    assert a[0] + a[2] < b[0] < b[0] + b[2] < c[0]
    assert a[1] + a[3] / 2 == b[1] + b[3] / 2 == c[1] + c[3] / 2
    a, b, c = boxes(drawn(Parallel(tuple(Resistor(8, label) for label in ("a", "b", "c")))))
    assert a[1] + a[3] < b[1] < b[1] + b[3] < c[1]


def test_open_and_short_are_words():
    made = texts(drawn(Parallel((Resistor(float("inf"), "LS1"), Resistor(0, "LS2")))))
    assert {"open", "short circuit", "together: short circuit"} <= set(made)


@pytest.mark.parametrize("count", [4, 24, 60])
def test_a_long_ladder_becomes_an_outline_with_every_part(count):
    made = drawn(ladder(count))
    leaves = [leaf.get("data-label") for leaf in by_class(made, "resistor")]
    assert leaves == [f"{what}{at}" for at in range(1, count + 1) for what in ("cable ", "LS")]
    assert all(0 <= float(node.get("x")) < 200 for node in by_tag(made, "text"))


def test_a_wide_network_keeps_its_boxes_where_there_is_room():
    tree = Series(tuple(Resistor(8, f"LS{at}") for at in range(8)))
    assert by_tag(drawn(tree), "rect") == []
    assert len(by_tag(drawn(tree, width=720), "rect")) == 8


def test_the_description_names_every_leaf_in_order():
    assert said(drawn(TEXTBOOK)) == "5.11 Ω together, from R1 1 Ω, R2 6 Ω, R3 13 Ω."
