"""The rack front: to scale, counted from the bottom, nothing over anything else, nothing left out."""

from itertools import combinations

import pytest

from registry.drawings.rack_front import RackFront, RackItem, draw_rack_front
from registry.drawings.rack_lanes import side_by_side
from tests.drawings.reading import all_words, by_class, by_tag, numbers, parsed, said, texts


def drawn(units, *items):
    return parsed(draw_rack_front(RackFront("Rack A", units, items)))


def panel(item):
    return numbers(by_class(item, "panel")[0], "x", "y", "width", "height")


def frame(root):
    return numbers(by_tag(by_class(root, "frame")[0], "rect")[0], "x", "y", "width", "height")


@pytest.mark.parametrize("units", [1, 12, 42])
def test_the_front_has_the_proportions_of_iec_60297(units):
    # IEC 60297-3-100: unit 44.45 mm, panel 482.6 mm; read from the standard's published dimensions, from memory.
    _, _, width, height = frame(drawn(units))
    assert height / width == pytest.approx(units * 44.45 / 482.6, rel=1e-3)


def test_heights_are_in_proportion_to_units_and_places_count_from_the_bottom():
    root = drawn(12, *(RackItem(f"I{u}", bottom_unit=at, height_u=u) for at, u in ((1, 1), (2, 2), (4, 4), (12, 1))))
    _, top, _, height = frame(root)
    unit = height / 12
    for item, (bottom, units) in zip(by_class(root, "item"), ((1, 1), (2, 2), (4, 4), (12, 1)), strict=True):
        _, y, _, h = panel(item)
        assert h == pytest.approx(units * unit, abs=0.02)
        assert y + h == pytest.approx(top + height - (bottom - 1) * unit, abs=0.02)


def test_units_are_numbered_from_the_bottom():
    root = drawn(5)
    numbered = [(float(node.get("y")), node.text) for node in by_tag(by_class(root, "frame")[0], "text")]
    assert [number for _, number in sorted(numbered)] == ["5", "4", "3", "2", "1"]


@pytest.mark.parametrize(
    "spans",
    [[(1, 2), (2, 1)], [(1, 1)] * 4, [(1, 4), (2, 1), (3, 1), (4, 2), (7, 1)], [(3, 3), (1, 3), (5, 2), (2, 4)]],
)
def test_items_that_share_units_stand_side_by_side_and_never_overlap(spans):
    root = drawn(
        9, *(RackItem(f"I{at}", bottom_unit=bottom, height_u=height) for at, (bottom, height) in enumerate(spans))
    )
    left, _, width, _ = frame(root)
    boxes = [panel(item) for item in by_class(root, "item")]
    assert len(boxes) == len(spans)
    for (ax, ay, aw, ah), (bx, by, bw, bh) in combinations(boxes, 2):
        assert ax + aw <= bx + 0.02 or bx + bw <= ax + 0.02 or ay + ah <= by + 0.02 or by + bh <= ay + 0.02
    assert all(left <= x and x + w <= left + width + 0.02 for x, _, w, _ in boxes)


def test_lanes_of_one_cluster_are_equally_wide_and_a_free_lane_is_used_again():
    lanes = side_by_side([(1, 4), (1, 1), (2, 1), (9, 1)])
    assert [(lane.index, lane.count) for lane in lanes] == [(0, 2), (1, 2), (1, 2), (0, 1)]
    assert side_by_side([]) == []


def test_place_model_and_tag_are_written_and_linked():
    root = drawn(4, RackItem("Amplifier 1", "Make A X1", "0012", 1, 2, "/items/1/"), RackItem("Router", "Make B", "77"))
    link, unplaced = by_tag(root, "a")[0], by_class(root, "listed")[0]
    assert link.get("href") == "/items/1/"
    assert sorted(texts(link)) == ["0012", "Amplifier 1", "Make A X1"]
    assert texts(unplaced) == ["Router, Make B, 77"]
    assert by_tag(unplaced, "a") == []


def test_what_has_to_be_shortened_is_written_in_full_below():
    long = "Uninterruptible power supply on the lowest shelf behind the door of the terrace"
    root = drawn(4, RackItem(long, "Make C", "0022", 2, 1), RackItem("Short", "Make D", "1", 3, 1))
    assert long not in texts(root)
    assert [all_words(each) for each in by_class(root, "listed")] == [f"U2: {long}, Make C, 0022"]
    assert "In full" in texts(root)


def test_unknown_positions_heights_and_items_that_reach_too_high_are_listed_not_drawn():
    root = drawn(
        4,
        RackItem("Where", "", "", None, 1),
        RackItem("How high", "", "", 2, None),
        RackItem("Too high", "", "", 4, 2),
        RackItem("", "", "", None, None),
    )
    assert by_class(root, "item") == []
    listed = [all_words(each) for each in by_class(root, "listed")]
    assert listed == ["Where", "from U2, height not known: How high", "item without a name", "U4 to U5: Too high"]
    assert {"Position or height not known", "Reaches above U4"} <= set(texts(root))


def test_blanks_are_named_and_free_units_stay_empty():
    root = drawn(3, RackItem("", blank=True, bottom_unit=2, height_u=1))
    assert [texts(item) for item in by_class(root, "item")] == [["blank"]]
    assert said(drawn(3)) == "3 units. Nothing is in it."


def test_the_description_goes_from_the_top_down():
    root = drawn(9, RackItem("Low", bottom_unit=1, height_u=1), RackItem("High", "Make A", "7", 8, 2))
    assert said(root) == "9 units. U8 to U9: High, Make A, 7. U1: Low."


@pytest.mark.parametrize("bad", [{"bottom_unit": 0}, {"height_u": 0}, {"bottom_unit": -3}])
def test_units_below_one_are_refused(bad):
    with pytest.raises(ValueError, match="1 or more"):
        RackItem("A", **bad)


@pytest.mark.parametrize("units", [0, 61, -4])
def test_a_rack_of_no_or_too_many_units_is_refused(units):
    with pytest.raises(ValueError, match="1 to 60 units"):
        RackFront("A", units)


def test_no_rule_of_the_empty_rack_runs_through_an_item():
    root = drawn(6, RackItem("A", bottom_unit=2, height_u=2), RackItem("B", bottom_unit=5, height_u=1))
    for item in by_class(root, "item"):
        _, top, _, height = panel(item)
        for rule in by_class(by_class(root, "frame")[0], "hairline"):
            upper, lower = sorted(numbers(rule, "y1", "y2"))
            assert lower <= top + 0.02 or upper >= top + height - 0.02
