"""Constant-voltage lines: a pair of conductors runs on and on, each loudspeaker bridges it with its transformer."""

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.lettering import wrap
from registry.drawings.schematic_line import SchematicLoudspeaker, SchematicString
from registry.drawings.schematic_parts import (
    Words,
    cable_words,
    coil_behind_transformer,
    junction,
    loudspeaker_words,
    wire,
    write_words,
)
from registry.drawings.svg import LINE_HEIGHT, Point, group

_CELL_WIDTH = 172.0
_TEXT_AT = 82.0  # from the bridging conductor to the words on its right
_PAIR = 12.0


@dataclass(frozen=True, slots=True)
class Feed:
    """Where the plus and the minus conductor leave the amplifier, and the room that the chains may use."""

    plus: Point
    minus: Point
    left: float
    right: float
    top: float


@dataclass(frozen=True, slots=True)
class _Cell:
    cable: list[Words]
    words: list[Words]
    loudspeaker: SchematicLoudspeaker

    @property
    def above(self) -> float:
        return len(self.cable) * LINE_HEIGHT + 8

    @property
    def spread(self) -> float:
        return max(56.0, len(self.words) * LINE_HEIGHT + 10)


def _cells(string: SchematicString, *, cable_width: float, words_width: float) -> list[_Cell]:
    cells = []
    for at, loudspeaker in enumerate(string.loudspeakers):
        cable, colours = cable_words(loudspeaker.cable, cable_width)
        name, figures = loudspeaker_words(loudspeaker, words_width)
        heading = [Words(words) for words in wrap(string.name, cable_width)] if at == 0 else []
        cells.append(_Cell(heading + cable + colours, name + figures, loudspeaker))
    return cells


def _string_group(parent: Element, string: SchematicString) -> Element:
    return group(parent, "string", data={"string": string.name, "wiring": "daisy-chain"})


def _draw_bridge(parent: Element, cell: _Cell, *, plus: Point, minus: Point) -> None:
    coil_behind_transformer(parent, plus=plus, minus=minus)
    write_words(parent, cell.words, at=(plus[0] + _TEXT_AT - 12, plus[1] + LINE_HEIGHT))


def draw_chains_upright(parent: Element, strings: tuple[SchematicString, ...], *, feed: Feed) -> float:
    """Draw every chain as a pair that runs down, its loudspeakers on the right, and return the bottom.

    Parameters: `strings` with at least one loudspeaker each; `feed` at the left, 200 wide or more.
    Raises: ValueError when there is no room for the words.
    Source: common practice (a single run with its taps).

    >>> one = SchematicString("String 1", (SchematicLoudspeaker("LS1"),))
    >>> draw_chains_upright(Element("g"), (one,), feed=Feed((30, 0), (18, 0), 18, 352, 10)) > 60
    True
    """
    y, (plus_x, _), (minus_x, _) = feed.top, feed.plus, feed.minus
    shift = 36.0 if len(strings) > 1 else 0.0
    for string in strings:
        made = _string_group(parent, string)
        if not shift:
            y = _draw_trunk(made, string, plus=feed.plus, minus=feed.minus, feed=feed, top=y)
            continue
        last = string is strings[-1]
        wire(made, [(plus_x, y), (plus_x + shift, y)])
        wire(made, [(minus_x, y + _PAIR), (minus_x + shift, y + _PAIR)], hops=() if last else (plus_x,))
        junction(made, (plus_x, y))
        junction(made, (minus_x, y + _PAIR))
        begin_plus, begin_minus = (plus_x + shift, y), (minus_x + shift, y + _PAIR)
        if last:
            wire(parent, [feed.plus, (plus_x, y)])
            wire(parent, [feed.minus, (minus_x, y + _PAIR)])
        y = _draw_trunk(made, string, plus=begin_plus, minus=begin_minus, feed=feed, top=y + _PAIR) + 12
    return y


def _draw_trunk(made: Element, string: SchematicString, *, plus: Point, minus: Point, feed: Feed, top: float) -> float:
    room = feed.right - plus[0]
    cells = _cells(string, cable_width=room - 12, words_width=room - 42 - _TEXT_AT)
    y, bridge_x = top, plus[0] + 42
    for at, cell in enumerate(cells):
        place = group(made, "loudspeaker", data={"label": cell.loudspeaker.label, "coil": cell.loudspeaker.coil})
        write_words(place, cell.cable, at=(plus[0] + 12, y + LINE_HEIGHT))
        y += cell.above + 6
        last = cell is cells[-1]
        wire(place, [(plus[0], y), (bridge_x, y)])
        below = y + cell.spread
        wire(place, [(minus[0], below), (bridge_x, below)], hops=() if last else (plus[0],))
        if not last:
            junction(place, (plus[0], y))
            junction(place, (minus[0], below))
        _draw_bridge(place, cell, plus=(bridge_x, y), minus=(bridge_x, below))
        if at == len(cells) - 1:
            wire(made, [plus, (plus[0], y)])
            wire(made, [minus, (minus[0], below)])
        y = below + 8
    return y


def draw_chains_across(parent: Element, strings: tuple[SchematicString, ...], *, feed: Feed) -> float:
    """Draw every chain as a pair that runs right, its loudspeakers bridging it, and return the bottom.

    A chain that is longer than a row goes on in the next row, again from the left.

    Parameters: `strings` with at least one loudspeaker each; `feed` 200 wide or more.
    Raises: ValueError when there is no room for the words.
    Source: common practice.

    >>> one = SchematicString("String 1", (SchematicLoudspeaker("LS1"),))
    >>> draw_chains_across(Element("g"), (one,), feed=Feed((158, 10), (158, 30), 200, 712, 10)) > 60
    True
    """
    y, plus_x, minus_x = feed.top, feed.left - 18, feed.left - 30
    for string in strings:
        made, last = _string_group(parent, string), string is strings[-1]
        y, begin_plus, begin_minus = _draw_rows(made, string, feed=feed, top=y)
        wire(made, [(plus_x, begin_plus), (feed.left, begin_plus)])
        wire(made, [(minus_x, begin_minus), (feed.left, begin_minus)], hops=() if last else (plus_x,))
        if len(strings) > 1:
            junction(made, (plus_x, begin_plus))
            junction(made, (minus_x, begin_minus))
        if last:
            wire(parent, [feed.plus, (plus_x, feed.plus[1]), (plus_x, begin_plus)])
            wire(parent, [feed.minus, (minus_x, feed.minus[1]), (minus_x, begin_minus)])
    return y


def _draw_rows(made: Element, string: SchematicString, *, feed: Feed, top: float) -> tuple[float, float, float]:
    """Return the bottom, and the y of plus and minus where the first row begins."""
    right = feed.right - 2 * _PAIR
    per_row = max(1, int((right - feed.left) // _CELL_WIDTH))
    width = (right - feed.left) / per_row
    cells = _cells(string, cable_width=width - 8, words_width=width - 24 - _TEXT_AT)
    rows = [cells[at : at + per_row] for at in range(0, len(cells), per_row)]
    y, pairs = top, list[Point]()
    for row in rows:
        plus_y = y + max(cell.above for cell in row)
        minus_y = plus_y + max(cell.spread for cell in row)
        if pairs:
            _draw_turn(made, feed.left, right=right, before=pairs[-1], after=(plus_y, minus_y))
        _draw_row(made, row, x=feed.left, width=width, pair=(plus_y, minus_y), ends=row is rows[-1], right=right)
        pairs.append((plus_y, minus_y))
        y = minus_y + 3 * _PAIR
    return y, *pairs[0]


def _draw_row(
    made: Element, row: list[_Cell], *, x: float, width: float, pair: Point, ends: bool, right: float
) -> None:
    plus_y, minus_y = pair
    stop = x + (len(row) - 1) * width + 24 if ends else right
    for y in pair:
        wire(made, [(x, y), (stop, y)])
    for at, cell in enumerate(row):
        place = group(made, "loudspeaker", data={"label": cell.loudspeaker.label, "coil": cell.loudspeaker.coil})
        bridge_x = x + at * width + 24
        write_words(place, cell.cable, at=(bridge_x - 20, plus_y - 6 - (len(cell.cable) - 1) * LINE_HEIGHT))
        _draw_bridge(place, cell, plus=(bridge_x, plus_y), minus=(bridge_x, minus_y))
        if not (ends and cell is row[-1]):
            junction(place, (bridge_x, plus_y))
            junction(place, (bridge_x, minus_y))


def _draw_turn(made: Element, left: float, *, right: float, before: Point, after: Point) -> None:
    gap = before[1] + _PAIR
    outer = left - _PAIR + 4
    wire(
        made,
        [
            (right, before[1]),
            (right + 4, before[1]),
            (right + 4, gap),
            (outer, gap),
            (outer, after[1]),
            (left, after[1]),
        ],
    )
    far = right + 4 + _PAIR
    wire(made, [(right, before[0]), (far, before[0]), (far, gap + 8), (left, gap + 8), (left, after[0])])
