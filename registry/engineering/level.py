"""Levels in dB: ratios, sums and means, level at a distance, power needed, and how long ears may stay."""

import math
from collections.abc import Sequence
from typing import Final

from registry.engineering.bounds import in_range
from registry.engineering.exposure import (
    allowed_hours,
    dose_percent,
    exposure_caution,
    osha_table_hours,
    time_weighted_average_db,
)

__all__ = [
    "add_coherent_levels",
    "add_levels",
    "allowed_hours",
    "amplitude_ratio",
    "db_of_amplitude",
    "db_of_power",
    "distance_change_db",
    "dose_percent",
    "exposure_caution",
    "level_at",
    "mean_level",
    "osha_table_hours",
    "power_needed_w",
    "power_ratio",
    "time_weighted_average_db",
]

REFERENCE_DISTANCE_M: Final = 1.0  # sensitivities are given at 1 m (IEC 60268-5)


def db_of_amplitude(ratio: float) -> float:
    """Ratio of two voltages, currents or sound pressures in dB: 20 lg r.

    Parameters:
        ratio: above 0.
    Returns:
        Level difference [dB].
    Raises:
        ValueError: 0, negative or not finite.
    Source: IEC 60027-3 (definition of the decibel), from memory.

    >>> round(db_of_amplitude(0.5), 2)
    -6.02
    """
    return 20 * math.log10(_ratio(ratio))


def db_of_power(ratio: float) -> float:
    """Ratio of two powers or intensities in dB: 10 lg r.

    Parameters:
        ratio: above 0.
    Returns:
        Level difference [dB].
    Raises:
        ValueError: 0, negative or not finite.
    Source: IEC 60027-3 (definition of the decibel), from memory.

    >>> round(db_of_power(2.0), 2)
    3.01
    """
    return 10 * math.log10(_ratio(ratio))


def amplitude_ratio(level_db: float) -> float:
    """Ratio of voltages, currents or pressures that a level difference means: 10^(L/20).

    Parameters:
        level_db: −6000 to 6000 [dB].
    Returns:
        Ratio, above 0.
    Raises:
        ValueError: out of range.
    Source: IEC 60027-3 (definition of the decibel), from memory.

    >>> amplitude_ratio(20.0)
    10.0
    """
    return float(10 ** (in_range("level_db", level_db, -6000.0, 6000.0, unit="dB") / 20))


def power_ratio(level_db: float) -> float:
    """Ratio of powers or intensities that a level difference means: 10^(L/10).

    Parameters:
        level_db: −3000 to 3000 [dB].
    Returns:
        Ratio, above 0.
    Raises:
        ValueError: out of range.
    Source: IEC 60027-3 (definition of the decibel), from memory.

    >>> power_ratio(20.0)
    100.0
    """
    return float(10 ** (in_range("level_db", level_db, -3000.0, 3000.0, unit="dB") / 10))


def add_levels(levels_db: Sequence[float]) -> float:
    """Level of several incoherent sources together: 10 lg Σ 10^(Lᵢ/10).

    Parameters:
        levels_db: one or more [dB]; −inf is legal and means silent.
    Returns:
        Level of the sum [dB]; −inf when all are silent.
    Raises:
        ValueError: no level, or one that is +inf or nan.
    Source: energy sum of incoherent sources, as in any acoustics text.

    >>> round(add_levels([70.0, 70.0]), 2), round(add_levels([60.0, 50.0]), 2)
    (73.01, 60.41)
    """
    return _sum_of(levels_db, [1.0] * len(levels_db), 10)


def add_coherent_levels(levels_db: Sequence[float]) -> float:
    """Level where several equal-phase sources add up as pressures: 20 lg Σ 10^(Lᵢ/20). The most that they can give.

    Parameters:
        levels_db: one or more [dB]; −inf is legal and means silent.
    Returns:
        Level of the sum [dB].
    Raises:
        ValueError: no level, or one that is +inf or nan.
    Source: sum of in-phase pressures, as in any acoustics text.

    >>> round(add_coherent_levels([90.0, 90.0]), 2)
    96.02
    """
    return _sum_of(levels_db, [1.0] * len(levels_db), 20)


def mean_level(levels_db: Sequence[float], durations: Sequence[float] | None = None) -> float:
    """Energy mean of levels: 10 lg(Σ tᵢ 10^(Lᵢ/10) / Σ tᵢ). A zone's figure from its spots, or Leq over periods.

    Parameters:
        levels_db: one or more [dB]; −inf is legal and means silent.
        durations: weight of each in one unit of time, 0 or more, not all 0; equal weights if left out.
    Returns:
        Mean level [dB].
    Raises:
        ValueError: lists of unequal length, no level, out of range.
    Source: ISO 1996-1, equivalent continuous level; ISO 3744:2010, energy average over positions; from memory.

    >>> round(mean_level([62.1, 60.4, 58.9, 61.5, 59.8]), 2)
    60.69
    >>> round(mean_level([60.0, 90.0, 75.0], durations=[30, 15, 30]), 2)
    83.28
    """
    weights = [1.0] * len(levels_db) if durations is None else list(durations)
    if len(weights) != len(levels_db):
        raise ValueError(f"durations has {len(weights)} entries: allowed is one for each of {len(levels_db)} levels")
    for weight in weights:
        in_range("a duration", weight, 0.0, math.inf)
    if levels_db and not math.fsum(weights):
        raise ValueError("durations are all 0: allowed is at least one above 0")
    return _sum_of(levels_db, weights, 10) - (10 * math.log10(math.fsum(weights)) if weights else 0.0)


def distance_change_db(from_m: float, to_m: float) -> float:
    """Change of direct sound from one distance to another: −20 lg(to / from). Free field, one small source.

    Parameters:
        from_m, to_m: distances in the same unit, above 0.
    Returns:
        Level change [dB], negative when farther.
    Raises:
        ValueError: 0, negative or not finite.
    Source: inverse-square law, as in any acoustics text.

    >>> round(distance_change_db(1.0, 2.0), 2)
    -6.02
    """
    _metres("from_m", from_m)
    return -20 * math.log10(_metres("to_m", to_m) / from_m)


def level_at(sensitivity_db: float, power_w: float, distance_m: float) -> float:
    """Level of one loudspeaker on its axis: sensitivity + 10 lg(P / 1 W) − 20 lg(d / 1 m). Direct sound only.

    Indoors the room adds to it; beyond two or three metres this is a lower estimate.

    Parameters:
        sensitivity_db: level at 1 W, 1 m, −50 to 150 [dB SPL].
        power_w: at the loudspeaker's terminals, above 0 [W].
        distance_m: above 0 [m]; below 1 m the far field is not certain.
    Returns:
        Level [dB SPL].
    Raises:
        ValueError: out of range.
    Source: IEC 60268-5 (characteristic sensitivity) and the inverse-square law, from memory.

    >>> round(level_at(88.0, 2.5, 3.0), 2)
    82.44
    """
    in_range("sensitivity_db", sensitivity_db, -50.0, 150.0, unit="dB")
    in_range("power_w", power_w, 0.0, math.inf, unit="W", open_low=True, remedy="a silent loudspeaker has no level")
    return sensitivity_db + 10 * math.log10(power_w) + distance_change_db(REFERENCE_DISTANCE_M, distance_m)


def power_needed_w(target_db: float, *, sensitivity_db: float, distance_m: float) -> float:
    """Power for a level at a distance: the inverse of `level_at`, 10^((L − sensitivity + 20 lg d)/10).

    Parameters:
        target_db: wanted level, −50 to 200 [dB SPL].
        sensitivity_db: level at 1 W, 1 m, −50 to 150 [dB SPL].
        distance_m: above 0 [m].
    Returns:
        Power at the loudspeaker's terminals [W], without headroom for peaks.
    Raises:
        ValueError: out of range.
    Source: as `level_at`.

    >>> round(power_needed_w(80.0, sensitivity_db=90.0, distance_m=10.0), 3)
    10.0
    """
    in_range("target_db", target_db, -50.0, 200.0, unit="dB")
    in_range("sensitivity_db", sensitivity_db, -50.0, 150.0, unit="dB")
    return power_ratio(target_db - sensitivity_db - distance_change_db(REFERENCE_DISTANCE_M, distance_m))


def _ratio(ratio: float) -> float:
    return in_range("ratio", ratio, 0.0, math.inf, open_low=True, remedy="no signal at all has no level in dB")


def _metres(name: str, value: float) -> float:
    return in_range(name, value, 0.0, math.inf, unit="m", open_low=True)


def _sum_of(levels_db: Sequence[float], weights: Sequence[float], factor: int) -> float:
    """factor × lg Σ w 10^(L/factor), taken relative to the loudest, so that nothing overflows."""
    if not levels_db:
        raise ValueError("levels_db is empty: allowed is one or more levels")
    if any(math.isnan(level) or level == math.inf for level in levels_db):
        raise ValueError(f"levels_db is {list(levels_db)}: allowed are numbers, and -inf for silent")
    loudest = max(levels_db)
    if math.isinf(loudest):
        return -math.inf
    total = math.fsum(w * 10 ** ((level - loudest) / factor) for level, w in zip(levels_db, weights, strict=True))
    return loudest + factor * math.log10(total) if total else -math.inf
