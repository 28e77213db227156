"""Ceiling loudspeakers over ears: covered diameter, spacing and number, a level map of a room and its spread."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from registry.engineering.bounds import in_range

Floats: TypeAlias = npt.NDArray[np.float64]
Pattern: TypeAlias = Literal["edge_to_edge", "minimum_overlap", "full_overlap"]

# Common practice. Spacing of a square grid as a share of the covered diameter: circles that touch, circles that leave
# no gap (the diagonal is one diameter), and each circle reaching to the middle of the next.
SPACING_SHARE: Final[dict[Pattern, float]] = {
    "edge_to_edge": 1.0,
    "minimum_overlap": math.sqrt(0.5),
    "full_overlap": 0.5,
}
EAR_HEIGHT_SEATED_M: Final = 1.2  # common practice
EAR_HEIGHT_STANDING_M: Final = 1.6  # common practice
MOST_POINTS: Final = 250_000


@dataclass(frozen=True, slots=True)
class Layout:
    """A square-ish grid of loudspeakers that fills a room; positions are (x, y) from one corner [m]."""

    spacing_m: float
    along: int
    across: int
    positions_m: tuple[tuple[float, float], ...]

    @property
    def count(self) -> int:
        """Number of loudspeakers."""
        return self.along * self.across


@dataclass(frozen=True, slots=True)
class CeilingLoudspeaker:
    """A loudspeaker that looks straight down; `angle_deg` is between its −6 dB points, None is equal all round."""

    x_m: float
    y_m: float
    height_m: float
    level_1m_db: float
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """How even a level map is. `mean_db` is the energy mean, `deviation_db` the standard deviation of the levels."""

    mean_db: float
    lowest_db: float
    highest_db: float
    deviation_db: float
    share_within_3_db: float

    @property
    def spread_db(self) -> float:
        """Highest less lowest."""
        return self.highest_db - self.lowest_db


def covered_diameter_m(ceiling_m: float, ear_m: float, angle_deg: float) -> float:
    """Diameter at ear height inside the −6 dB angle of a ceiling loudspeaker: D = 2 (H − h) tan(angle/2).

    Parameters:
        ceiling_m: height of the loudspeaker above the floor [m].
        ear_m: height of the ears, 0 or more, below the loudspeaker [m].
        angle_deg: coverage angle between the −6 dB points, 10 to 179 [°]; take that of about 4 kHz.
    Returns:
        Diameter [m].
    Raises:
        ValueError: out of range.
    Source: geometry, as in design guides for ceiling loudspeakers.

    >>> round(covered_diameter_m(3.0, 1.2, 90.0), 2)
    3.6
    """
    in_range("ear_m", ear_m, 0.0, math.inf, unit="m")
    in_range("ceiling_m", ceiling_m, ear_m, math.inf, unit="m", open_low=True, remedy="it must hang above the ears")
    return 2 * (ceiling_m - ear_m) * math.tan(_half_angle(angle_deg))


def edge_level_db(angle_deg: float) -> float:
    """Level at the edge of the covered circle re its middle, from the longer path alone: 20 lg cos(angle/2).

    The loudspeaker's own −6 dB at that angle comes on top.

    Parameters:
        angle_deg: coverage angle, 10 to 179 [°].
    Returns:
        Level [dB], negative.
    Raises:
        ValueError: out of range.
    Source: inverse-square law along the slanted path.

    >>> round(edge_level_db(90.0), 2)
    -3.01
    """
    return 20 * math.log10(math.cos(_half_angle(angle_deg)))


def layout_for(*, length_m: float, width_m: float, diameter_m: float, pattern: Pattern = "minimum_overlap") -> Layout:
    """Spacing and number of ceiling loudspeakers for a room: as few as the pattern's spacing allows, evenly placed.

    Parameters:
        length_m, width_m: of the room, above 0 up to 500 [m].
        diameter_m: covered diameter at ear height, from `covered_diameter_m`, at least 0.5 [m].
        pattern: "edge_to_edge" (gaps at the corners), "minimum_overlap" (no gap), "full_overlap" (most even).
    Returns:
        Largest spacing of the pattern, numbers along and across, positions.
    Raises:
        ValueError: out of range, or no such pattern.
    Source: common practice in design guides for ceiling loudspeakers.

    >>> plan = layout_for(length_m=12.0, width_m=8.0, diameter_m=3.6)
    >>> plan.along, plan.across, plan.count, round(plan.spacing_m, 2)
    (5, 4, 20, 2.55)
    """
    if pattern not in SPACING_SHARE:
        raise ValueError(f"pattern is {pattern!r}: allowed is one of {', '.join(SPACING_SHARE)}")
    in_range("diameter_m", diameter_m, 0.5, math.inf, unit="m")
    spacing = diameter_m * SPACING_SHARE[pattern]
    along, across = (_steps(name, value, spacing) for name, value in (("length_m", length_m), ("width_m", width_m)))
    xs = [(i + 0.5) * length_m / along for i in range(along)]
    ys = [(i + 0.5) * width_m / across for i in range(across)]
    return Layout(spacing, along, across, tuple((x, y) for y in ys for x in xs))


def level_map(
    loudspeakers: Sequence[CeilingLoudspeaker],
    *,
    length_m: float,
    width_m: float,
    ear_m: float = EAR_HEIGHT_SEATED_M,
    step_m: float = 0.5,
) -> Floats:
    """Level at ear height on a grid over a room: the incoherent sum of the direct sound of all loudspeakers.

    Each gives level at 1 m − 20 lg d − 6 (θ / half angle)² dB: −6 dB at the edge of its angle (the square is common
    practice). Walls add nothing: indoors the true map is louder and more even than this one.

    Parameters:
        loudspeakers: one or more, each above the ears.
        length_m, width_m: of the room, above 0 up to 500 [m].
        ear_m: height of the ears, 0 or more [m].
        step_m: largest distance between points, above 0 [m]; points lie in the middle of equal cells.
    Returns:
        Levels [dB], row by row: index [across, along].
    Raises:
        ValueError: out of range, no loudspeaker, or more than 250 000 points.
    Source: energy sum and inverse-square law.

    >>> one = CeilingLoudspeaker(x_m=2.0, y_m=2.0, height_m=2.2, level_1m_db=80.0)
    >>> round(float(level_map([one], length_m=4.0, width_m=4.0, step_m=4.0)[0, 0]), 1)
    80.0
    """
    if not loudspeakers:
        raise ValueError("loudspeakers is empty: allowed is one or more; a silent room has no level map")
    in_range("ear_m", ear_m, 0.0, math.inf, unit="m")
    in_range("step_m", step_m, 0.0, math.inf, unit="m", open_low=True)
    along, across = _steps("length_m", length_m, step_m), _steps("width_m", width_m, step_m)
    in_range("points", along * across, 1, MOST_POINTS, remedy="take a larger step")
    x = (np.arange(along) + 0.5) * length_m / along
    y = ((np.arange(across) + 0.5) * width_m / across)[:, None]
    energy: Floats = np.zeros((across, along))
    for loudspeaker in loudspeakers:
        energy = energy + 10 ** (_direct_db(loudspeaker, x, y, ear_m) / 10)
    return np.asarray(10 * np.log10(energy), dtype=np.float64)


def spread_of(levels_db: Floats) -> Spread:
    """How even a level map is: energy mean, ends, standard deviation, and the share of points within ±3 dB of the mean.

    Parameters:
        levels_db: one or more finite levels [dB], any shape.
    Returns:
        The figures.
    Raises:
        ValueError: empty or not finite.
    Source: the idea of ANSI/AVIXA A102.01 (state the spread over fixed points); its classes are not used.

    >>> even = spread_of(np.array([70.0, 71.0, 69.0]))
    >>> round(even.mean_db, 2), even.spread_db, even.share_within_3_db
    (70.08, 2.0, 1.0)
    """
    if not levels_db.size or not np.all(np.isfinite(levels_db)):
        raise ValueError(f"levels_db has {levels_db.size} entries: allowed is one or more finite levels")
    mean = 10 * math.log10(float(np.mean(10 ** (levels_db / 10))))
    return Spread(
        mean_db=mean,
        lowest_db=float(levels_db.min()),
        highest_db=float(levels_db.max()),
        deviation_db=float(levels_db.std()),
        share_within_3_db=float(np.mean(np.abs(levels_db - mean) <= 3)),
    )


def _direct_db(loudspeaker: CeilingLoudspeaker, x: Floats, y: Floats, ear_m: float) -> Floats:
    drop = in_range("height_m", loudspeaker.height_m, ear_m, math.inf, unit="m", open_low=True) - ear_m
    in_range("level_1m_db", loudspeaker.level_1m_db, -50.0, 200.0, unit="dB")
    aside = np.hypot(x - loudspeaker.x_m, y - loudspeaker.y_m)
    level = loudspeaker.level_1m_db - 20 * np.log10(np.hypot(aside, drop))
    if loudspeaker.angle_deg is None:
        return np.asarray(level, dtype=np.float64)
    off_axis = np.arctan2(aside, drop) / _half_angle(loudspeaker.angle_deg)
    return np.asarray(level - 6 * off_axis**2, dtype=np.float64)


def _half_angle(angle_deg: float) -> float:
    """Half the angle in radians; 180° or more has no edge at ear height, below 10° nothing is left beside the axis."""
    in_range("angle_deg", angle_deg, 10.0, 179.0, unit="°")
    return math.radians(angle_deg / 2)


def _steps(name: str, size_m: float, step_m: float) -> int:
    in_range(name, size_m, 0.0, 500.0, unit="m", open_low=True)
    return max(1, math.ceil(size_m / step_m - 1e-9))
