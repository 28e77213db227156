"""Ceiling loudspeakers over ears: covered circle, spacing, number, level map."""

from dataclasses import dataclass

from registry.drawings.coverage_map import CoverageMap, MapLoudspeaker, draw_coverage_map
from registry.engineering.coverage import (
    SPACING_SHARE,
    CeilingLoudspeaker,
    Floats,
    Layout,
    Pattern,
    covered_diameter_m,
    edge_level_db,
    layout_for,
    level_map,
    spread_of,
)
from registry.engineering.wording import counted, figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.calculations.levels import loud
from registry.web.workbench.declaring import Answer, Calculation, Drawing, Input, InputError, Result, Term
from registry.web.workbench.kinds import Choice, Quantity
from registry.web.workbench.showing import shown

MOST_MAPPED = 120
ALONG = 36  # points of the map along the longer wall; the drawing joins them by 2 or by 4
SIDE = Quantity(unit="m", low=1, high=60)
PATTERNS = {
    "edge_to_edge": "edge to edge: circles touch, gaps at the corners",
    "minimum_overlap": "minimum overlap: no gap",
    "full_overlap": "full overlap: the most even",
}


@dataclass(frozen=True, slots=True)
class _Room:
    """What was typed of the room and of its loudspeakers."""

    length: float
    width: float
    ceiling: float
    ears: float
    angle: float
    pattern: Pattern

    @property
    def diameter(self) -> float:
        return covered_diameter_m(self.ceiling, self.ears, self.angle)


def coverage(
    *, length: float, width: float, ceiling: float, ears: float, angle: float, pattern: Pattern, level: float | None
) -> Answer:
    """Spacing and number for a room, and its level map."""
    if ceiling <= ears:
        above = shown(ears, "m")
        raise InputError("ceiling", f"{shown(ceiling, 'm')} is not above the ears: allowed is more than {above}")
    room = _Room(length, width, ceiling, ears, angle, pattern)
    layout = _layout(room)
    levels = _map(room, layout, level=level or 0.0) if layout.count <= MOST_MAPPED else None
    spacing = shown(layout.spacing_m, "m")
    return Answer(
        says=f"{counted(layout.count, 'loudspeaker')}, {layout.along} by {layout.across}, at most {spacing} apart.",
        results=(
            Result("count", "Loudspeakers", layout.count),
            Result("along", "Along the length", layout.along),
            Result("across", "Across the width", layout.across),
            Result("diameter_m", "Covered diameter at the ears", room.diameter, "m"),
            Result("spacing_m", "Largest spacing", layout.spacing_m, "m"),
            Result("edge_db", "Edge of the circle, path alone", edge_level_db(angle), "dB"),
            *(_spread(levels, known=level is not None) if levels is not None else ()),
        ),
        formula=_formula(room, layout),
        drawings=(_drawing(room, layout, levels=levels),) if levels is not None else (),
        cautions=(*_loud(levels, level), CAUTIONS["ladder"]),
        notes=_notes(mapped=levels is not None, known=level is not None),
    )


def _layout(room: _Room) -> Layout:
    try:
        return layout_for(length_m=room.length, width_m=room.width, diameter_m=room.diameter, pattern=room.pattern)
    except ValueError as error:
        raise InputError("angle", f"the covered circle is too small: {error}") from error


def _map(room: _Room, layout: Layout, *, level: float) -> Floats:
    units = [CeilingLoudspeaker(x, y, room.ceiling, level, room.angle) for x, y in layout.positions_m]
    step = max(room.length, room.width) / ALONG
    return level_map(units, length_m=room.length, width_m=room.width, ear_m=room.ears, step_m=step)


def _loud(levels: Floats | None, level: float | None) -> tuple[str, ...]:
    if level is None:
        return ()
    return loud(level if levels is None else float(levels.max()))


def _spread(levels: Floats, *, known: bool) -> tuple[Result, ...]:
    found = spread_of(levels)
    absolute = (
        Result("mean_db", "Energy mean of the map", found.mean_db, "dB"),
        Result("lowest_db", "Lowest", found.lowest_db, "dB"),
        Result("highest_db", "Highest", found.highest_db, "dB"),
    )
    return (
        *(absolute if known else ()),
        Result("spread_db", "Highest less lowest", found.spread_db, "dB"),
        Result("deviation_db", "Standard deviation of the levels", found.deviation_db, "dB"),
        Result("within_3_db_percent", "Points within ± 3 dB of the mean", 100 * found.share_within_3_db, "%"),
    )


def _formula(room: _Room, layout: Layout) -> tuple[Term, ...]:
    ceiling, ears, angle = figure(room.ceiling), figure(room.ears), figure(room.angle)
    share, diameter = figure(SPACING_SHARE[room.pattern]), figure(room.diameter)
    return (
        Term(
            "Covered diameter", f"2 (H − h) tan(angle/2) = 2 × ({ceiling} − {ears}) m × tan({angle}°/2) = {diameter} m"
        ),
        Term("Largest spacing", f"{share} × D = {share} × {diameter} m = {figure(layout.spacing_m)} m"),
        Term("Number", f"{layout.along} along × {layout.across} across = {layout.count}"),
    )


def _drawing(room: _Room, layout: Layout, *, levels: Floats) -> Drawing:
    units = tuple(MapLoudspeaker(f"LS{n}", x, y) for n, (x, y) in enumerate(layout.positions_m, start=1))
    rows = [[float(value) for value in row] for row in levels]
    shown_map = CoverageMap("Level map at ear height", room.length, room.width, rows, units)
    wide = draw_coverage_map(shown_map, width=720, ident="map-wide")
    return Drawing(wide, draw_coverage_map(shown_map, ident="map-narrow"))


def _notes(*, mapped: bool, known: bool) -> tuple[str, ...]:
    if not mapped:
        return (f"No map: it is drawn for up to {MOST_MAPPED} loudspeakers. Part the room to see one.",)
    zero = () if known else ("No level was given, so the map counts each loudspeaker as 0 dB at 1 m.",)
    return (*zero, "Direct sound alone: walls make the true room louder and more even than this map.")


COVERAGE = Calculation(
    name="coverage",
    title="Ceiling loudspeakers in a room",
    question="How many ceiling loudspeakers does this room take, where, and how even is it?",
    inputs=(
        Input(name="length", label="Length of the room", kind=SIDE, example="12 m"),
        Input(name="width", label="Width of the room", kind=SIDE, example="8 m"),
        Input(
            name="ceiling", label="Height of the loudspeakers", kind=Quantity(unit="m", low=2, high=15), example="3 m"
        ),
        Input(
            name="ears",
            label="Height of the ears",
            kind=Quantity(unit="m", low=0.5, high=2.5),
            default="1.2",
            example="1.2 m",
            help="1.2 m seated, 1.6 m standing: common practice.",
        ),
        Input(
            name="angle",
            label="Coverage angle, −6 dB",
            kind=Quantity(unit="degree", low=10, high=175),
            example="90",
            help="Take that of about 4 kHz.",
        ),
        Input(
            name="pattern", label="Pattern", kind=Choice(PATTERNS), default="minimum_overlap", example="minimum_overlap"
        ),
        Input(
            name="level",
            label="Level of each at 1 m",
            kind=Quantity(unit="dB", high=130),
            default="",
            example="70 dB",
            help="With the power that it gets; left empty, the map is relative.",
        ),
    ),
    compute=coverage,
    source=(
        "Geometry and common practice of design guides; energy sum and inverse-square law; spread in the spirit of "
        "ANSI/AVIXA A102.01."
    ),
)
