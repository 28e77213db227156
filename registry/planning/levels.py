"""How loud a zone is with 2.83 V at the terminals: from a reading with its drive, else from data sheets and room."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from registry.audio.models import LineKind
from registry.baselines.models import Reading
from registry.engineering.background import correct_for_background
from registry.engineering.folding import level_at_283_from_data, level_at_283_from_reading, series_shift_db
from registry.engineering.folding_drive import DRIVE_REFERENCE_V
from registry.engineering.level import add_levels
from registry.engineering.wording import figure, listed
from registry.planning.wired import WiredCoil, strings_of
from sites.models import Space


@dataclass(frozen=True, slots=True)
class Known:
    """A figure and where it comes from; where it is None, what is missing."""

    value: float | None
    says: str


def level_at_283(
    coils: Sequence[WiredCoil], *, space: Space | None, reading: Reading | None, time_zone: ZoneInfo
) -> Known:
    """Return the level at the spot with 2.83 V at the terminals and every loudspeaker in parallel.

    A reading holds room, cable and taps, so it comes first; it was taken with today's wiring, and a series string gives
    each of its n loudspeakers 20 lg n less.
    """
    if not coils:
        return Known(None, "no loudspeaker is connected")
    measured = _measured(coils, reading, time_zone) if reading is not None else None
    return measured or _from_data(coils, space)


def _measured(coils: Sequence[WiredCoil], reading: Reading, time_zone: ZoneInfo) -> Known | None:
    level_db = reading.level_db
    if level_db is not None and reading.background_db is not None:
        level_db = correct_for_background(level_db, reading.background_db).level_db
    in_series = _in_series(coils)
    if level_db is None or in_series is None or reading.drive_v is None:
        return None
    value = level_at_283_from_reading(level_db=level_db, volts=reading.drive_v) + series_shift_db(in_series)
    day = reading.taken_at.astimezone(time_zone)
    wiring = f", {in_series} in series" if in_series > 1 else ""
    return Known(
        round(value, 2),
        f"read {day.day} {day:%b %Y}: {figure(level_db)} dB with {figure(reading.drive_v)} V at the terminals{wiring}",
    )


def _in_series(coils: Sequence[WiredCoil]) -> int | None:
    """Loudspeakers per string, where all strings are alike; a constant-voltage line has none in series."""
    if coils[0].kind != LineKind.LOW:
        return 1
    lengths = {len(string) for string in strings_of(coils).values()}
    return lengths.pop() if len(lengths) == 1 else None


def _from_data(coils: Sequence[WiredCoil], space: Space | None) -> Known:
    missing = [*_missing_of_space(space), *_missing_of_coils(coils)]
    if missing or space is None or space.ceiling_m is None or space.listener_height_m is None:
        return Known(None, f"no reading with volts at the terminals: take one, or record {listed(missing)}")
    distance_m = space.ceiling_m - space.listener_height_m
    if distance_m <= 0:
        return Known(None, f"the ceiling of {space} is not above the listeners' ears: correct its heights")
    each = [_coil_db(coil, distance_m) for coil in coils]
    how = f"{len(coils)} at {figure(distance_m)} m in the free field, so the room makes it louder"
    return Known(round(add_levels(each), 2), f"calculated: {how}; a reading is better")


def _coil_db(coil: WiredCoil, distance_m: float) -> float:
    """Level of one coil with 2.83 V at the line's terminals; its sensitivity is for 1 W at 1 m."""
    if coil.kind == LineKind.LOW:
        power_w, loss_db = DRIVE_REFERENCE_V**2 / (coil.impedance_ohm or 1.0), 0.0
    else:
        power_w = (coil.tap_w or 1.0) * (DRIVE_REFERENCE_V / float(coil.kind)) ** 2
        loss_db = coil.insertion_loss_db or 0.0
    at_283_db = (coil.sensitivity_db or 0.0) + 10.0 * math.log10(power_w) - loss_db
    return level_at_283_from_data(sensitivity_db=at_283_db, distance_m=distance_m)


def _missing_of_space(space: Space | None) -> Iterable[str]:
    if space is None:
        yield "the space (ceiling and listener height)"
        return
    if space.ceiling_m is None:
        yield "the ceiling height"
    if space.listener_height_m is None:
        yield "the listener height"


def _missing_of_coils(coils: Sequence[WiredCoil]) -> Iterable[str]:
    if any(coil.sensitivity_db is None for coil in coils):
        yield "the sensitivity"
    if coils[0].kind == LineKind.LOW and any(coil.impedance_ohm is None for coil in coils):
        yield "the impedance"
    if coils[0].kind != LineKind.LOW and any(coil.tap_w is None for coil in coils):
        yield "the tap"
