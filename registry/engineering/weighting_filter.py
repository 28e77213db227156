"""A and C weighting as a digital filter: second-order sections for a sample rate, and running them over samples."""

import cmath
import functools
import math
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from registry.engineering.bounds import in_range
from registry.engineering.weighting_curve import Curve, Floats, checked_curve, curve_power, high_pass_poles_hz

Complexes: TypeAlias = npt.NDArray[np.complex128]

LOWEST_RATE_HZ: Final = 8000.0
HIGHEST_RATE_HZ: Final = 192000.0
_ORDER: Final = 3  # of the correcting part: within 0.04 dB at every rate; 4 gains nothing and is ill-conditioned
_HIGHEST_FITTED_HZ: Final = 20000.0
_SETTLING_S: Final = 0.4  # the slowest pole, 20.6 Hz twice, has died away by more than 400 dB
_BLOCK: Final = 1 << 17


@functools.lru_cache(maxsize=32)
def _design(curve: Curve, sample_rate_hz: float) -> tuple[tuple[float, ...], ...]:
    """Low poles by matched z-transform; all the rest fitted, so that the bilinear transform's fall near fs/2 is absent.

    With u = cos ω, the power response of any digital filter is P(u)/Q(u). What the low sections leave of the exact
    curve is fitted by such a quotient (least squares of relative error, reweighted as Sanathanan and Koerner do), and
    each root in u gives the zero or pole inside the unit circle: stable and of minimum phase.
    """
    nyquist = sample_rate_hz / 2
    f = np.geomspace(10.0, min(_HIGHEST_FITTED_HZ, 0.9999 * nyquist), 400)
    u = np.cos(np.pi * f / nyquist)
    rest = curve_power(f, curve)
    low_poles = [math.exp(-math.pi * pole / nyquist) for pole in high_pass_poles_hz(curve)]
    for p in low_poles:
        rest = rest * (1 + p * p - 2 * p * u) / (2 - 2 * u)
    top, bottom = _fitted_quotient(u, rest)
    zeros, poles = _inside(top), _inside(bottom)
    sections = [(1.0, -2.0, 1.0, 1.0, -(p + q), p * q) for p, q in zip(low_poles[::2], low_poles[1::2], strict=True)]
    sections += [(*_polynomial(zeros[:2]), *_polynomial(poles[:2])), (*_polynomial(zeros[2:]), *_polynomial(poles[2:]))]
    gain = 1 / abs(_response(np.array(sections), np.array([math.pi * 1000 / nyquist]))[0])
    return (*sections[:-1], tuple(x * gain for x in sections[-1][:3]) + sections[-1][3:])


def _fitted_quotient(u: Floats, target: Floats) -> tuple[Floats, Floats]:
    """P and Q (lowest power first, Q starts with 1) with P/Q near the target in relative terms."""
    weight: Floats = np.ones_like(u)
    powers = [u**k for k in range(_ORDER + 1)]
    columns = np.stack([*(p / target for p in powers), *(-p for p in powers[1:])], axis=1)
    for _ in range(30):
        solution = np.linalg.lstsq(columns * weight[:, None], weight, rcond=None)[0].astype(np.float64)
        bottom = np.concatenate([np.ones(1), solution[_ORDER + 1 :]])
        weight = 1 / np.polyval(bottom[::-1], u)
    return solution[: _ORDER + 1], bottom


def _inside(polynomial: Floats) -> list[complex]:
    """Roots in z inside the unit circle for the roots in u = (z + 1/z)/2; a conjugate pair comes first."""
    near_and_far = ((u - cmath.sqrt(u * u - 1), u + cmath.sqrt(u * u - 1)) for u in np.roots(polynomial[::-1]).tolist())
    return sorted((min(pair, key=abs) for pair in near_and_far), key=lambda z: -abs(z.imag))


def _polynomial(roots: list[complex]) -> tuple[float, float, float]:
    """1 − (r + s) z⁻¹ + r s z⁻², or 1 − r z⁻¹."""
    if len(roots) == 1:
        return 1.0, -roots[0].real, 0.0
    return 1.0, -(roots[0] + roots[1]).real, (roots[0] * roots[1]).real


def _response(sections: Floats, omega: Floats) -> Complexes:
    z1 = np.exp(-1j * omega)
    result: Complexes = np.ones_like(z1)
    for b0, b1, b2, a0, a1, a2 in sections.tolist():
        result = result * (b0 + z1 * (b1 + z1 * b2)) / (a0 + z1 * (a1 + z1 * a2))
    return result


def weighting_filter(curve: Curve, sample_rate_hz: float) -> Floats:
    """Second-order sections of the A or C weighting: rows b0, b1, b2, 1, a1, a2, gain included, 0 dB at 1 kHz.

    Within 0.04 dB of the exact curve from 10 Hz to 20 kHz or to just below half the rate (0.004 dB at 44.1 and 48 kHz),
    where the bilinear transform is 6.5 dB low at 16 kHz for 48 kHz. Stable, minimum phase, in the form that
    `scipy.signal.sosfilt` takes.

    Parameters:
        curve: "A" or "C".
        sample_rate_hz: 8000 to 192000 [Hz].
    Returns:
        Array of shape (4, 6) for A, (3, 6) for C.
    Raises:
        ValueError: out of range, or no such curve (Z needs no filter).
    Source: target curve IEC 61672-1:2013, Annex E; limits its Table 3, class 1, as restated. The fit is our own.

    >>> sections = weighting_filter("A", 48000.0)
    >>> sections.shape, round(response_db(sections, 16000.0, 48000.0), 1)
    ((4, 6), -6.7)
    """
    in_range("sample_rate_hz", sample_rate_hz, LOWEST_RATE_HZ, HIGHEST_RATE_HZ, unit="Hz")
    if checked_curve(curve) == "Z":
        raise ValueError("curve is 'Z': allowed is A or C; Z is the signal itself and needs no filter")
    return np.array(_design(curve, float(sample_rate_hz)))


def response_db(sections: Floats, frequency_hz: float, sample_rate_hz: float) -> float:
    """Response of second-order sections at one frequency: 20 lg |H|.

    Parameters:
        sections: rows b0, b1, b2, a0, a1, a2.
        frequency_hz: above 0, below half the sample rate [Hz].
        sample_rate_hz: above 0 [Hz].
    Returns:
        Level [dB].
    Raises:
        ValueError: out of range.
    Source: definition of the z-transform.

    >>> round(response_db(weighting_filter("C", 44100.0), 1000.0, 44100.0), 6) + 0.0
    0.0
    """
    in_range("sample_rate_hz", sample_rate_hz, 0.0, math.inf, unit="Hz", open_low=True)
    in_range("frequency_hz", frequency_hz, 0.0, sample_rate_hz / 2, unit="Hz", open_low=True)
    omega = np.array([2 * math.pi * frequency_hz / sample_rate_hz])
    return 20 * math.log10(abs(complex(_response(sections, omega)[0])))


def weighted_samples(samples: Floats, sample_rate_hz: float, curve: Curve) -> Floats:
    """Samples behind the weighting filter, started from rest: the same as running its sections one after the other.

    The recursion is done by blocks in the frequency domain, the tail of each added to the next: numpy has no recursion.

    Parameters:
        samples: one channel.
        sample_rate_hz: 8000 to 192000 [Hz].
        curve: "A", "C", or "Z" (returned as they are).
    Returns:
        As many samples.
    Raises:
        ValueError: out of range, not one channel, not finite.
    Source: overlap-add, as in any text on digital filters.

    >>> tone = np.sin(2 * np.pi * 100.0 * np.arange(48000) / 48000.0)
    >>> round(20 * math.log10(np.std(weighted_samples(tone, 48000.0, "A")[24000:]) / np.std(tone)), 1)
    -19.1
    """
    if samples.ndim != 1 or not np.all(np.isfinite(samples)):
        raise ValueError(f"samples has shape {samples.shape}: allowed is one channel of finite numbers")
    if checked_curve(curve) == "Z":
        return samples
    sections = weighting_filter(curve, sample_rate_hz)
    step = _BLOCK - math.ceil(_SETTLING_S * sample_rate_hz)
    response = _response(sections, np.linspace(0.0, math.pi, _BLOCK // 2 + 1))
    result = np.zeros(len(samples) + _BLOCK)
    for start in range(0, len(samples), step):
        spectrum = np.fft.rfft(samples[start : start + step], n=_BLOCK)
        result[start : start + _BLOCK] += np.fft.irfft(spectrum * response, n=_BLOCK)
    return result[: len(samples)]
