"""A terminal strip drawn: conductors from plus to minus in order, jumpers between the right two terminals."""

import pytest

from registry.drawings.terminal_strip import Terminal, TerminalString, TerminalStrip, draw_terminal_strip
from tests.drawings.reading import Node, by_class, by_tag, numbers, parsed, said, texts

THREE = TerminalString(
    "String 1",
    (
        Terminal("+", "red, plus of LS1", "1.5 mm², 9 m"),
        Terminal("joint", "black, minus of LS1"),
        Terminal("joint", "red, plus of LS2"),
        Terminal("joint", "black, minus of LS2"),
        Terminal("joint", "red, plus of LS3"),
        Terminal("−", "black, minus of LS3"),
    ),
)
ONE = TerminalString(
    "String 2", (Terminal("+", "white, plus of LS4"), Terminal("−", "grey, minus of LS4")), "As today."
)
STRIP = TerminalStrip("Bar", "Amplifier 1, channel 2", (THREE, ONE))


def terminals(made: Node) -> list[tuple[float, float]]:
    """Middle of each terminal's square, top to bottom."""
    squares = [node for node in by_tag(made, "polygon") if node.get("class") == "paper"]
    found = []
    for node in squares:
        points = [tuple(map(float, pair.split(","))) for pair in (node.get("points") or "").split()]
        found.append((sum(x for x, _ in points) / 4, sum(y for _, y in points) / 4))
    return found


@pytest.mark.parametrize("width", [360, 560])
def test_a_terminal_for_each_conductor_in_the_order_of_the_current(width: int) -> None:
    made = parsed(draw_terminal_strip(STRIP, width=width))
    assert len(terminals(made)) == 8
    written = [words for words in texts(made) if " of LS" in words]
    assert written == [t.conductor for string in STRIP.strings for t in string.terminals]
    heights = [y for _, y in terminals(made)]
    assert heights == sorted(heights)


def test_a_jumper_joins_the_minus_of_one_with_the_plus_of_the_next() -> None:
    made = parsed(draw_terminal_strip(STRIP))
    spots = [y for _, y in terminals(made)]
    jumpers = []
    for group in (node for node in made.iter() if node.get("data-jumper")):
        (line,) = by_tag(group, "polyline")
        ys = [float(pair.split(",")[1]) for pair in (line.get("points") or "").split()]
        jumpers.append((ys[0], ys[-1]))
    assert jumpers == [(spots[1], spots[2]), (spots[3], spots[4])]


def test_plus_and_minus_run_down_to_their_last_terminal_and_touch_where_there_is_a_dot() -> None:
    made = parsed(draw_terminal_strip(STRIP))
    spots = [y for _, y in terminals(made)]
    dots = [numbers(node, "cx", "cy") for node in by_class(made, "junction")]
    (plus_x, minus_x) = sorted({x for x, _ in dots})
    assert [y for x, y in dots if x == plus_x] == [spots[0], spots[6]]
    assert [y for x, y in dots if x == minus_x] == [spots[5], spots[7]]
    buses = {
        x1: y2
        for x1, y1, x2, y2 in (numbers(node, "x1", "y1", "x2", "y2") for node in by_tag(made, "line"))
        if x1 == x2
    }
    assert buses == {plus_x: spots[6], minus_x: spots[7]}


def test_a_screen_reader_hears_every_terminal_in_order() -> None:
    assert said(parsed(draw_terminal_strip(STRIP))) == (
        "Amplifier 1, channel 2. String 1: red, plus of LS1 to +; jumper from black, minus of LS1 to red, plus of LS2; "
        "jumper from black, minus of LS2 to red, plus of LS3; black, minus of LS3 to −. "
        "String 2: white, plus of LS4 to +; grey, minus of LS4 to −."
    )


@pytest.mark.parametrize(
    "order", [["+"], ["−", "+"], ["+", "joint", "−"], ["+", "joint", "−", "joint"], ["+", "+", "joint", "−"]]
)
def test_a_string_that_carries_no_current_is_refused(order: list[str]) -> None:
    with pytest.raises(ValueError, match="plus, pairs of joints, minus"):
        TerminalString("String", tuple(Terminal(to, "x") for to in order))  # type: ignore[arg-type]


def test_a_width_out_of_range_is_refused() -> None:
    with pytest.raises(ValueError, match="width must be 340 to 1400"):
        draw_terminal_strip(STRIP, width=1500)
