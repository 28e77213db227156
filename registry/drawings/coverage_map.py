"""The level map of a room: a value in every cell, loudspeakers at their places, shading with a legend in dB."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isfinite, log10
from xml.etree.ElementTree import Element

from registry.drawings.lettering import quantity, wrap
from registry.drawings.svg import LINE_HEIGHT, PHONE_WIDTH, Point, circle, finish, group, rect, root, text, text_lines

STEP_DB = 3.0
_SHADES = (0.45, 0.3, 0.18, 0.08, 0.0)  # loudest to quietest, light enough to read a number on
_CELL_WIDTH, _CELL_HEIGHT, _MARGIN, _TALLEST = 38.0, 32.0, 8.0, 640.0
_DISC = 9.0
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class MapLoudspeaker:
    """A loudspeaker on the map; x along the length, y along the width, from the upper left corner."""

    label: str
    x_m: float
    y_m: float


@dataclass(frozen=True, slots=True)
class CoverageMap:
    """Levels on a grid of equal cells, row by row: `levels_db[across][along]`; None where nothing is known."""

    title: str
    length_m: float
    width_m: float
    levels_db: Sequence[Sequence[float | None]]
    loudspeakers: tuple[MapLoudspeaker, ...] = ()
    says: str = ""

    def __post_init__(self) -> None:
        if not (self.length_m > 0 and self.width_m > 0):
            raise ValueError(f"A room is longer and wider than 0 m, got {self.length_m} by {self.width_m}")
        if not self.levels_db or not self.levels_db[0] or len({len(row) for row in self.levels_db}) != 1:
            raise ValueError("levels_db needs one row or more, all equally long")
        if not all(level is None or isfinite(level) for row in self.levels_db for level in row):
            raise ValueError("A level must be a finite number, or None when it is not known")


@dataclass(frozen=True, slots=True)
class _Grid:
    """The cells as they are drawn: every one the energy mean of so many computed points."""

    levels_db: list[list[float | None]]
    block: tuple[int, int]
    cell: tuple[float, float]
    scale: float


def draw_coverage_map(room: CoverageMap, *, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw the map to scale; a cell that would be too small for its number is joined with its neighbours.

    Parameters:
        room: sizes in metres, levels in dB.
        width: 340 to 1400 drawing units; 360 for a phone.
        ident: for the ids, when the same map stands twice on a page.
    Returns: SVG.
    Raises: ValueError for a width out of range.
    Source: layout ours; joined cells are energy means (10 lg of the mean of 10^(L/10)).

    >>> room = CoverageMap("Bar", 6, 4, [[70, 73], [68, 72]], (MapLoudspeaker("LS1", 4, 1),))
    >>> "LS1, 73 dB" in draw_coverage_map(room)
    True
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    body = Element("g")
    grid = _grid(room, width)
    top = text_lines(body, wrap(room.says, width - 2 * _MARGIN), at=(_MARGIN, 18)) - 8 if room.says else _MARGIN
    _draw_cells(body, room, grid=grid, top=top)
    _draw_loudspeakers(body, room, grid=grid, top=top)
    bottom = top + room.width_m * grid.scale
    size = f"{room.length_m:g} m by {room.width_m:g} m, levels in dB"
    joined = f"; each number stands for {grid.block[0]} by {grid.block[1]} points" if grid.block != (1, 1) else ""
    bottom = text_lines(body, wrap(size + joined, width - 16), at=(_MARGIN, bottom + 20), css="muted")
    bottom = _draw_key(body, room, grid=grid, at=(_MARGIN, bottom + 2), width=width)
    svg = root("coverage-map", title=room.title, description=describe(room), size=(width, bottom - 6), ident=ident)
    svg.append(body)
    return finish(svg)


def describe(room: CoverageMap) -> str:
    """Say the room, its highest and lowest level and its loudspeakers, for screen readers.

    Parameters:
        room: as drawn.
    Returns: sentences.
    Raises: nothing.
    Source: ours.

    >>> describe(CoverageMap("Bar", 6, 4, [[70, 73]]))
    '6 m by 4 m, levels 70 dB to 73 dB.'
    """
    known = _known(room.levels_db)
    low, high = (quantity(level, "dB", decimals=0) for level in ((min(known), max(known)) if known else (None, None)))
    levels = f"levels {low} to {high}" if known else "levels not known"
    places = [f"{each.label} at {each.x_m:g} m, {each.y_m:g} m" for each in room.loudspeakers]
    said = [room.says, f"{room.length_m:g} m by {room.width_m:g} m, {levels}."]
    return " ".join(part for part in (*said, f"Loudspeakers: {'; '.join(places)}." if places else "") if part)


def _known(levels_db: Sequence[Sequence[float | None]]) -> list[float]:
    return [level for row in levels_db for level in row if level is not None]


def _grid(room: CoverageMap, width: float) -> _Grid:
    scale = min((width - 2 * _MARGIN) / room.length_m, _TALLEST / room.width_m)
    rows, columns = len(room.levels_db), len(room.levels_db[0])
    along = _block(columns, room.length_m * scale, least=_CELL_WIDTH)
    across = _block(rows, room.width_m * scale, least=_CELL_HEIGHT)
    joined = [
        [
            _mean([level for row in room.levels_db[top : top + across] for level in row[left : left + along]])
            for left in range(0, columns, along)
        ]
        for top in range(0, rows, across)
    ]
    return _Grid(
        joined, (along, across), (room.length_m * scale * along / columns, room.width_m * scale * across / rows), scale
    )


def _block(cells: int, room: float, *, least: float) -> int:
    return ceil(cells / max(1, int(room // least)))


def _mean(levels: Sequence[float | None]) -> float | None:
    known = [level for level in levels if level is not None]
    return 10 * log10(sum(10 ** (level / 10) for level in known) / len(known)) if known else None


def _at(room: CoverageMap, grid: _Grid, *, loudspeaker: MapLoudspeaker) -> tuple[int, int]:
    column = int(loudspeaker.x_m * grid.scale // grid.cell[0])
    row = int(loudspeaker.y_m * grid.scale // grid.cell[1])
    return min(max(row, 0), len(grid.levels_db) - 1), min(max(column, 0), len(grid.levels_db[0]) - 1)


def _covers_its_number(room: CoverageMap, grid: _Grid, *, loudspeaker: MapLoudspeaker) -> bool:
    """Whether the disc of a loudspeaker would cover the number of its cell; the key gives that number then."""
    row, column = _at(room, grid, loudspeaker=loudspeaker)
    dx = (column + 0.5) * grid.cell[0] - loudspeaker.x_m * grid.scale
    dy = (row + 0.5) * grid.cell[1] - loudspeaker.y_m * grid.scale
    return abs(dx) < _DISC + 9 and abs(dy) < _DISC + 7


def _shade(level: float, loudest: float) -> int:
    return min(int((loudest - level) // STEP_DB), len(_SHADES) - 1)


def _draw_cells(body: Element, room: CoverageMap, *, grid: _Grid, top: float) -> None:
    known = _known(grid.levels_db)
    covered = {
        _at(room, grid, loudspeaker=each)
        for each in room.loudspeakers
        if _covers_its_number(room, grid, loudspeaker=each)
    }
    cells = group(body, "cells")
    for row, levels in enumerate(grid.levels_db):
        for column, level in enumerate(levels):
            x, y = _MARGIN + column * grid.cell[0], top + row * grid.cell[1]
            size = (
                min(grid.cell[0], _MARGIN + room.length_m * grid.scale - x),
                min(grid.cell[1], top + room.width_m * grid.scale - y),
            )
            cell = group(cells, "cell", data={"row": str(row), "column": str(column)})
            if level is not None:
                rect(cell, "level", corner=(x, y), size=size).set(
                    "fill-opacity", str(_SHADES[_shade(level, max(known))])
                )
            if (row, column) not in covered:
                words = "?" if level is None else quantity(level, "", decimals=0)
                text(cell, words, at=(x + size[0] / 2, y + size[1] / 2 + 4.5), anchor="middle")
    rect(body, "wire room", corner=(_MARGIN, top), size=(room.length_m * grid.scale, room.width_m * grid.scale))


def _letter(at: int) -> str:
    return _LETTERS[at] if at < len(_LETTERS) else _letter(at // len(_LETTERS) - 1) + _letter(at % len(_LETTERS))


def _draw_disc(parent: Element, letter: str, *, centre: Point) -> None:
    circle(parent, "paper", centre=centre, radius=_DISC)
    text(parent, letter, at=(centre[0], centre[1] + 4.5), css="ink strong", anchor="middle")


def _draw_loudspeakers(body: Element, room: CoverageMap, *, grid: _Grid, top: float) -> None:
    for at, loudspeaker in enumerate(room.loudspeakers):
        made = group(body, "loudspeaker", says=loudspeaker.label, data={"label": loudspeaker.label})
        _draw_disc(
            made, _letter(at), centre=(_MARGIN + loudspeaker.x_m * grid.scale, top + loudspeaker.y_m * grid.scale)
        )


def _draw_key(body: Element, room: CoverageMap, *, grid: _Grid, at: Point, width: float) -> float:
    x, y = at
    known = _known(grid.levels_db)
    used = sorted({_shade(level, max(known)) for level in known})
    for shade in used:
        loud = max(known) - shade * STEP_DB
        words = f"{loud - STEP_DB:.0f} to {loud:.0f} dB" if shade < len(_SHADES) - 1 else f"{loud:.0f} dB or less"
        swatch = group(body, "shade", data={"shade": str(shade)})
        rect(swatch, "level", corner=(x, y), size=(24, 14)).set("fill-opacity", str(_SHADES[shade]))
        rect(swatch, "hairline", corner=(x, y), size=(24, 14))
        text(swatch, words, at=(x + 32, y + 12))
        y += 20
    for number, loudspeaker in enumerate(room.loudspeakers):
        row, column = _at(room, grid, loudspeaker=loudspeaker)
        _draw_disc(body, _letter(number), centre=(x + 12, y + 9))
        words = f"{loudspeaker.label}, {quantity(grid.levels_db[row][column], 'dB', decimals=0)}"
        y = text_lines(body, wrap(words, width - x - 44), at=(x + 32, y + 14)) - LINE_HEIGHT + 8
    return y + 12
