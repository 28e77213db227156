"""The schematic: as many loudspeakers as there are, wired as they are wired, at every width."""

import re
from itertools import pairwise

import pytest

from registry.drawings.schematic import (
    SchematicCable,
    SchematicLine,
    SchematicLoudspeaker,
    SchematicString,
    draw_schematic,
)
from tests.drawings.reading import all_words, by_class, by_tag, numbers, parsed, said, texts

CABLE = SchematicCable("18 AWG", "12 m", "red", "black")
WIRINGS = ("low impedance", "constant voltage")
WIDTHS = (360, 720, 1200)


def string(name, *labels):
    return SchematicString(
        name, tuple(SchematicLoudspeaker(label, load="8 Ω", power="7 W", cable=CABLE) for label in labels)
    )


def drawn(wiring, *strings, width=360, **more):
    line = SchematicLine("Bar", wiring, "Amplifier 1 in rack A", "channel 2", "60 W into 4 Ω", strings, **more)
    return parsed(draw_schematic(line, width=width))


def labels(count):
    return [f"LS{at + 1}" for at in range(count)]


def conductors(node):
    """Every point of every wire of a drawing, in the order in which it runs."""
    runs = []
    for path in by_class(node, "wire"):
        run = []
        for command, rest in re.findall(r"([MHLA])([^MHLA]*)", path.get("d", "")):
            parts = [float(part) for part in rest.split()]
            run.append((parts[0], run[-1][1]) if command == "H" else tuple(parts[-2:]))
        runs.append(run)
    return runs


@pytest.mark.parametrize("wiring", WIRINGS)
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("counts", [(1,), (3,), (24,), (2, 1, 3), (1,) * 24])
def test_every_coil_is_one_symbol_in_its_string_with_its_label(wiring, width, counts):
    names = iter(labels(sum(counts)))
    strings = [string(f"String {at}", *(next(names) for _ in range(count))) for at, count in enumerate(counts)]
    root = drawn(wiring, *strings, width=width)
    read = [[place.get("data-label") for place in by_class(each, "loudspeaker")] for each in by_class(root, "string")]
    assert read == [[loudspeaker.label for loudspeaker in each.loudspeakers] for each in strings]
    assert len(by_class(root, "coil")) == sum(counts)
    assert set(labels(sum(counts))) <= set(texts(root))


def test_strings_say_how_they_are_wired():
    strings = (string("A", "LS1"), string("B", "LS2", "LS3"))
    assert [each.get("data-wiring") for each in by_class(drawn("low impedance", *strings), "string")] == [
        "single",
        "series",
    ]
    chains = by_class(drawn("constant voltage", *strings), "string")
    assert [each.get("data-wiring") for each in chains] == ["daisy-chain"] * 2


def test_only_constant_voltage_lines_have_transformers_two_circles_each():
    strings = (string("A", "LS1", "LS2"),)
    assert by_class(drawn("low impedance", *strings), "transformer") == []
    assert len(by_class(drawn("constant voltage", *strings), "transformer")) == 4


@pytest.mark.parametrize("width", WIDTHS)
def test_in_series_the_conductor_of_a_row_ends_where_the_next_coil_begins(width):
    """From left to right: each coil's right conductor is the left conductor of the next one in its row."""
    (made,) = by_class(drawn("low impedance", string("A", *labels(6)), width=width), "string")
    places = by_class(made, "loudspeaker")
    ends = [(conductors(place)[0], conductors(place)[1]) for place in places]
    for (into, out), (next_into, _) in pairwise(ends):
        assert into[0][0] < into[1][0] < out[0][0] < out[1][0]
        if next_into[0][1] == into[0][1]:
            assert next_into[0] == out[1]
        else:  # the next row begins at the left again, below
            assert next_into[0][1] > into[0][1]
            assert next_into[0][0] == ends[0][0][0][0]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("count", [1, 2, 5, 24])
def test_parallel_strings_all_meet_plus_and_minus(width, count):
    root = drawn("low impedance", *(string(f"S{at}", f"LS{at}", f"LS{at}b") for at in range(count)), width=width)
    dots = [numbers(dot, "cx", "cy") for dot in by_class(root, "junction")]
    plus = [y for x, y in dots if x == min(dot[0] for dot in dots)]
    minus = [y for x, y in dots if x == max(dot[0] for dot in dots)]
    assert (len(plus), len(minus)) == (count, count)
    rails = [
        run for run in conductors(root) if abs(run[-1][1] - run[-2][1]) > 0 and run[-1][0] in {dots[0][0], dots[1][0]}
    ]
    reached = [max(point[1] for point in run) for run in rails]
    assert max(plus) in reached
    assert max(minus) in reached


@pytest.mark.parametrize("width", WIDTHS)
def test_on_a_daisy_chain_every_loudspeaker_but_the_last_joins_two_conductors_that_go_on(width):
    root = drawn("constant voltage", string("A", *labels(7)), width=width)
    dots = [len(by_class(place, "junction")) for place in by_class(root, "loudspeaker")]
    assert dots == [2, 2, 2, 2, 2, 2, 0]


def test_crossing_conductors_hop_and_do_not_touch():
    upright = drawn("constant voltage", string("A", *labels(3)))
    hops = [path for path in by_tag(upright, "path") if "A5 5" in path.get("d")]
    assert len(hops) == 2  # the minus taps of all but the last cross the plus conductor
    two = drawn("constant voltage", string("A", "LS1"), string("B", "LS2"), width=720)
    assert len([path for path in by_tag(two, "path") if "A5 5" in path.get("d")]) == 1


@pytest.mark.parametrize("wiring", WIRINGS)
@pytest.mark.parametrize("width", WIDTHS)
def test_cable_colours_and_figures_are_written_at_each_loudspeaker(wiring, width):
    loudspeaker = SchematicLoudspeaker("LS1", coil="2", load="16 Ω", power="3.8 W", level="−3.1 dB", cable=CABLE)
    root = drawn(wiring, SchematicString("Terrace", (loudspeaker, loudspeaker)), width=width)
    for place in by_class(root, "loudspeaker"):
        words = all_words(place)
        for part in ("LS1, coil 2", "16 Ω, 3.8 W", "−3.1 dB", "18 AWG, 12 m", "plus red, minus black"):
            assert part in words
    assert "Terrace" in all_words(root)


def test_the_amplifier_stands_at_the_left_on_a_desk_and_on_top_on_a_phone():
    def box(width):
        root = drawn("low impedance", string("A", "LS1"), width=width)
        assert "Amplifier 1 in rack A channel 2 60 W into 4 Ω" in all_words(by_class(root, "amplifier")[0])
        x, y, w, h = numbers(by_tag(by_class(root, "amplifier")[0], "rect")[0], "x", "y", "width", "height")
        coil_x, coil_y = numbers(by_class(root, "coil")[0], "x", "y")
        return coil_x > x + w, coil_y > y + h

    assert box(720)[0]
    assert box(360)[1]


def test_unknown_figures_are_said_and_not_left_out():
    bare = SchematicString(
        "A", (SchematicLoudspeaker("LS1"), SchematicLoudspeaker("LS2", cable=SchematicCable("", "3 m")))
    )
    line = SchematicLine("Bar", "low impedance", "Amplifier 1", "channel 1", strings=(bare,))
    words = all_words(parsed(draw_schematic(line)))
    for part in ("rating not known", "load not known", "cable not known", "size not known, 3 m"):
        assert part in words


@pytest.mark.parametrize(
    ("verdict", "drawn_as"),
    [
        ("pass", ["circle"]),
        ("warn", ["polygon", "line"]),
        ("fail", ["polygon", "line", "line"]),
        ("unknown", ["polygon", "text"]),
    ],
)
def test_a_verdict_is_a_word_and_a_shape_of_its_own(verdict, drawn_as):
    root = drawn("low impedance", string("A", "LS1"), verdict=verdict, says="1.33 Ω; it allows 4 Ω or more")
    (mark,) = by_class(root, "verdict")
    assert [node.tag.split("}")[1] for node in mark] == drawn_as
    assert f"{verdict}: 1.33 Ω; it allows 4 Ω or more" in all_words(root)


def test_a_caution_stands_below_every_line_and_a_better_one_replaces_it():
    for wiring, part in (("low impedance", "Switch the amplifier off"), ("constant voltage", "This line can shock.")):
        assert part in all_words(by_class(drawn(wiring, string("A", "LS1")), "caution")[0])
    own = drawn("constant voltage", string("A", "LS1"), caution="Ask the house technician first.")
    assert all_words(by_class(own, "caution")[0]) == "Ask the house technician first."


def test_an_empty_string_is_no_rung_and_an_empty_line_says_so():
    root = drawn("low impedance", SchematicString("A"))
    assert by_class(root, "string") == []
    assert "nothing is wired to this channel" in texts(root)
    assert (
        by_class(drawn("low impedance", SchematicString("A"), string("B", "LS1")), "string")[0].get("data-string")
        == "B"
    )


def test_the_description_goes_through_the_line_in_wiring_order():
    root = drawn("low impedance", string("A", "LS1", "LS2"), string("B", "LS3"))
    assert said(root) == (
        "Amplifier 1 in rack A, channel 2, 60 W into 4 Ω. Low impedance. "
        "A, in series: LS1, 8 Ω, 7 W, 18 AWG, 12 m; LS2, 8 Ω, 7 W, 18 AWG, 12 m. "
        "B, one loudspeaker: LS3, 8 Ω, 7 W, 18 AWG, 12 m."
    )


@pytest.mark.parametrize("width", [0, 339, 1401, float("nan")])
def test_a_width_that_cannot_be_drawn_is_refused(width):
    with pytest.raises(ValueError, match="width must be 340 to 1400"):
        drawn("low impedance", string("A", "LS1"), width=width)


def test_another_wiring_is_refused():
    with pytest.raises(ValueError, match="'low impedance' or 'constant voltage'"):
        drawn("100 V", string("A", "LS1"))
