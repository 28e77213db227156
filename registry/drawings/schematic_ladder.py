"""Low-impedance lines: every string is a rung between plus and minus, its coils one after the other on the rung."""

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.lettering import wrap
from registry.drawings.schematic_line import SchematicLoudspeaker, SchematicString
from registry.drawings.schematic_parts import (
    COIL,
    Words,
    cable_words,
    coil_on_wire,
    junction,
    loudspeaker_words,
    wire,
    write_words,
)
from registry.drawings.svg import LINE_HEIGHT, Point, group

_CELL_WIDTH = 240.0
_TURN = 16.0  # room between a rail and the point where a long string turns to its next row
_SYMBOL_AT = 0.5
_CLEARANCE = 22.0


@dataclass(frozen=True, slots=True)
class Rails:
    """Where the plus and the minus conductor of a line run down, and where they leave the amplifier."""

    plus_x: float
    minus_x: float
    plus_from: Point
    minus_from: Point
    top: float


@dataclass(frozen=True, slots=True)
class _Cell:
    above_left: list[Words]
    below_left: list[Words]
    above_right: list[Words]
    below_right: list[Words]
    loudspeaker: SchematicLoudspeaker

    @property
    def above(self) -> float:
        return max(28.0, max(len(self.above_left), len(self.above_right)) * LINE_HEIGHT + 6)

    @property
    def below(self) -> float:
        return max(22.0, max(len(self.below_left), len(self.below_right)) * LINE_HEIGHT + 8)


def draw_ladder(parent: Element, strings: tuple[SchematicString, ...], *, rails: Rails) -> float:
    """Draw the rungs between the rails and return the bottom; current flows left to right, plus to minus.

    A string that is longer than a row goes on in the next row, again from the left.

    Parameters: `strings` with at least one loudspeaker each; `rails` at least 200 apart.
    Raises: ValueError when the rails are nearer.
    Source: common practice (a ladder diagram).

    >>> one = SchematicString("String 1", (SchematicLoudspeaker("LS1"),))
    >>> draw_ladder(Element("g"), (one,), rails=Rails(14, 346, (14, 0), (346, 0), 10)) > 60
    True
    """
    if rails.minus_x - rails.plus_x < 200:
        raise ValueError(f"The rails must be 200 apart or more, got {rails.minus_x - rails.plus_x}")
    y = rails.top
    ends: list[Point] = []
    for string in strings:
        y, end = _draw_rung(parent, string, rails=rails, top=y)
        ends.append(end)
    if ends:
        for x, start, stop in (
            (rails.plus_x, rails.plus_from, ends[-1][0]),
            (rails.minus_x, rails.minus_from, ends[-1][1]),
        ):
            wire(parent, [start, (x, start[1]), (x, stop)])
    return y


def _draw_rung(parent: Element, string: SchematicString, *, rails: Rails, top: float) -> tuple[float, Point]:
    """Return the bottom of the rung, and the y at which it leaves plus and reaches minus."""
    wiring = "series" if len(string.loudspeakers) > 1 else "single"
    rung = group(parent, "string", data={"string": string.name, "wiring": wiring})
    left, right = rails.plus_x + _TURN, rails.minus_x - _TURN
    per_row = min(len(string.loudspeakers), max(1, int((right - left) // _CELL_WIDTH)))
    width = (right - left) / per_row
    cells = [_cell(string, at, width=width) for at in range(len(string.loudspeakers))]
    rows = [cells[at : at + per_row] for at in range(0, len(cells), per_row)]
    names = [Words(words) for words in wrap(string.name, right - left - 8)]
    y = write_words(rung, names, at=(left + 4, top + LINE_HEIGHT)) - LINE_HEIGHT + 2 if names else top
    came_from = y
    first_wire = y + max(cell.above for cell in rows[0])
    junction(rung, (rails.plus_x, first_wire))
    for row in rows:
        level = y + max(cell.above for cell in row)
        if row is not rows[0]:
            wire(rung, [(right, came_from), (right, y - 6), (left, y - 6), (left, level)])
        _draw_row(rung, row, at=(left, level), width=width)
        wire(rung, [(left + len(row) * width, level), (right, level)])
        y, came_from = level + max(cell.below for cell in row) + 12, level
    wire(rung, [(rails.plus_x, first_wire), (left, first_wire)])
    wire(rung, [(right, came_from), (rails.minus_x, came_from)])
    junction(rung, (rails.minus_x, came_from))
    return y, (first_wire, came_from)


def _cell(string: SchematicString, at: int, *, width: float) -> _Cell:
    loudspeaker = string.loudspeakers[at]
    cable, colours = cable_words(loudspeaker.cable, width * _SYMBOL_AT - _CLEARANCE - 3)
    name, figures = loudspeaker_words(loudspeaker, width * (1 - _SYMBOL_AT) - _CLEARANCE - 3)
    return _Cell(cable, colours, name, figures, loudspeaker)


def _draw_row(rung: Element, row: list[_Cell], *, at: Point, width: float) -> None:
    x, y = at
    for cell in row:
        label = {"label": cell.loudspeaker.label, "coil": cell.loudspeaker.coil}
        place = group(rung, "loudspeaker", data=label)
        middle = x + width * _SYMBOL_AT
        wire(place, [(x, y), (middle - COIL, y)])
        wire(place, [(middle + COIL, y), (x + width, y)])
        coil_on_wire(place, centre=(middle, y))
        for lines, column in ((cell.above_left, x + 4), (cell.above_right, middle + _CLEARANCE)):
            write_words(place, lines, at=(column, y - 8 - (len(lines) - 1) * LINE_HEIGHT))
        for lines, column in ((cell.below_left, x + 4), (cell.below_right, middle + _CLEARANCE)):
            write_words(place, lines, at=(column, y + 17))
        x += width
