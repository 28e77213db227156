"""What a recording holds: equivalent and percentile levels and third-octave bands, A, C or unweighted."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np

from registry.engineering.bounds import in_range
from registry.engineering.weighting_curve import (
    NOMINAL_HZ,
    Curve,
    Floats,
    exact_frequency_hz,
    weighted_level,
    weighting_db,
)
from registry.engineering.weighting_filter import (
    HIGHEST_RATE_HZ,
    LOWEST_RATE_HZ,
    response_db,
    weighted_samples,
    weighting_filter,
)

__all__ = [
    "Recording",
    "equivalent_level",
    "exact_frequency_hz",
    "percentile_levels",
    "response_db",
    "third_octave_bands",
    "time_weighted_levels",
    "weighted_level",
    "weighting_db",
    "weighting_filter",
]

Speed: TypeAlias = Literal["fast", "slow"]

PASCAL_DB: Final = 20 * math.log10(1 / 20e-6)  # level of 1 Pa: 93.98 dB re 20 µPa
TIME_CONSTANT_S: Final[dict[Speed, float]] = {"fast": 0.125, "slow": 1.0}  # IEC 61672-1, 5.8
_STEP_S: Final = 0.01
_SHORTEST_S: Final = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """One channel of sound. `unity_db` is the level of an RMS of 1: PASCAL_DB for pascals, else the calibration."""

    samples: Floats
    sample_rate_hz: float
    unity_db: float = PASCAL_DB

    def __post_init__(self) -> None:
        in_range("sample_rate_hz", self.sample_rate_hz, LOWEST_RATE_HZ, HIGHEST_RATE_HZ, unit="Hz")
        in_range("unity_db", self.unity_db, -math.inf, math.inf, unit="dB")
        if self.samples.ndim != 1 or not len(self.samples) or not np.all(np.isfinite(self.samples)):
            raise ValueError(f"samples has shape {self.samples.shape}: allowed is one channel of finite numbers")

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return len(self.samples) / self.sample_rate_hz


def equivalent_level(recording: Recording, curve: Curve = "A") -> float:
    """Equivalent continuous level: 10 lg of the mean square behind the weighting filter.

    Parameters:
        recording: any length; the filter starts from rest, so a loud low tone cut in at full swing clicks.
        curve: "A" (LAeq), "C" or "Z".
    Returns:
        Level [dB], re 20 µPa if the recording is calibrated; −inf for digital silence.
    Raises:
        ValueError: no such curve.
    Source: IEC 61672-1:2013, 3.10 (time-averaged level).

    >>> tone = math.sqrt(2) * np.sin(2 * np.pi * 1000.0 * np.arange(48000) / 48000.0)
    >>> round(equivalent_level(Recording(tone, 48000.0)), 1)
    94.0
    """
    weighted = weighted_samples(recording.samples, recording.sample_rate_hz, curve)
    return recording.unity_db + _db(float(np.mean(weighted * weighted)))


def time_weighted_levels(recording: Recording, curve: Curve = "A", speed: Speed = "fast") -> Floats:
    """What a meter's display would show: exponential time weighting, one level for every 10 ms.

    The meter is taken as settled at the start: it begins with the mean square of the first time constant.

    Parameters:
        recording: at least 1 s.
        curve: "A", "C" or "Z".
        speed: "fast" (0.125 s) or "slow" (1 s).
    Returns:
        Levels [dB].
    Raises:
        ValueError: too short, or no such curve or speed.
    Source: IEC 61672-1:2013, 5.8, as public restatements give it.

    >>> tone = math.sqrt(2) * np.sin(2 * np.pi * 1000.0 * np.arange(48000) / 48000.0)
    >>> levels = time_weighted_levels(Recording(tone, 48000.0))
    >>> len(levels), round(float(levels[-1]), 1)
    (100, 94.0)
    """
    if speed not in TIME_CONSTANT_S:
        raise ValueError(f"speed is {speed!r}: allowed is fast or slow")
    _long_enough(recording)
    weighted = weighted_samples(recording.samples, recording.sample_rate_hz, curve)
    size = round(_STEP_S * recording.sample_rate_hz)
    squares = np.mean(weighted[: len(weighted) // size * size].reshape(-1, size) ** 2, axis=1)
    share = -math.expm1(-size / recording.sample_rate_hz / TIME_CONSTANT_S[speed])
    settled = float(np.mean(squares[: round(TIME_CONSTANT_S[speed] / _STEP_S)]))
    smooth = itertools.accumulate(squares, lambda held, new: held + share * (new - held), initial=settled)
    return np.array([recording.unity_db + _db(float(square)) for square in itertools.islice(smooth, 1, None)])


def percentile_levels(
    recording: Recording, percents: Sequence[float] = (10.0, 50.0, 90.0), *, curve: Curve = "A", speed: Speed = "fast"
) -> dict[float, float]:
    """Percentile levels: LN is exceeded for N % of the time (L90 is the usual figure for background).

    Parameters:
        recording: at least 1 s.
        percents: each above 0 and below 100 [%].
        curve: "A", "C" or "Z".
        speed: "fast" or "slow".
    Returns:
        Level [dB] by percentage.
    Raises:
        ValueError: out of range, too short, or no such curve or speed.
    Source: ISO 1996-1 (N percent exceedance level), from memory.

    >>> steady = math.sqrt(2) * np.sin(2 * np.pi * 1000.0 * np.arange(48000) / 48000.0)
    >>> {n: round(level, 1) for n, level in percentile_levels(Recording(steady, 48000.0), (90.0,)).items()}
    {90.0: 94.0}
    """
    for percent in percents:
        in_range("a percentage", percent, 0.0, 100.0, unit="%", open_low=True)
    levels = time_weighted_levels(recording, curve, speed)
    # "lower" takes a level that occurred: digital silence, at −inf, cannot be interpolated.
    return {p: float(np.percentile(levels, 100 - p, method="lower")) for p in percents}


def third_octave_bands(recording: Recording) -> dict[float, float]:
    """Third-octave levels from 20 Hz up to the last band below half the sample rate.

    Ideal bands of the averaged power spectrum (Hann windows of 1 s, half overlapped), edges at f × 10^(±1/20); bins at
    an edge are shared. Not the filters of IEC 61260-1: a tone just beside an edge is less smeared here.

    Parameters:
        recording: at least 1 s.
    Returns:
        Level [dB] by nominal frequency [Hz]; −inf for an empty band.
    Raises:
        ValueError: too short.
    Source: IEC 61260-1 (base-ten bands); Welch's averaged spectrum.

    >>> tone = math.sqrt(2) * np.sin(2 * np.pi * 1000.0 * np.arange(48000) / 48000.0)
    >>> round(third_octave_bands(Recording(tone, 48000.0))[1000.0], 1)
    94.0
    """
    _long_enough(recording)
    rate = recording.sample_rate_hz
    power = _power_spectrum(recording.samples, round(rate * _SHORTEST_S))
    edges = np.concatenate([[0.0], (np.arange(len(power)) + 0.5) / _SHORTEST_S])
    below = np.concatenate([[0.0], np.cumsum(power)])
    bands: dict[float, float] = {}
    for nominal in NOMINAL_HZ[NOMINAL_HZ.index(20.0) :]:
        low, high = (exact_frequency_hz(nominal) * 10 ** (side / 20) for side in (-1, 1))
        if high <= rate / 2:
            inside = np.interp(high, edges, below) - np.interp(low, edges, below)
            bands[nominal] = recording.unity_db + _db(float(inside))
    return bands


def _power_spectrum(samples: Floats, size: int) -> Floats:
    """Mean square in each bin of size-long Hann windows; all bins together are the mean square of the signal."""
    window = np.hanning(size + 1)[:-1]
    starts = range(0, len(samples) - size + 1, size // 2)
    power = np.zeros(size // 2 + 1)
    for start in starts:
        power += np.abs(np.fft.rfft(samples[start : start + size] * window)) ** 2
    power[1 : (size + 1) // 2] *= 2
    return power / (len(starts) * size * float(np.sum(window**2)))


def _db(mean_square: float) -> float:
    return 10 * math.log10(mean_square) if mean_square > 0 else -math.inf


def _long_enough(recording: Recording) -> None:
    in_range("duration_s", recording.duration_s, _SHORTEST_S, math.inf, unit="s", remedy="record for longer")
