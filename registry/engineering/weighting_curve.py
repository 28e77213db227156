"""The A and C curves of IEC 61672-1, exact, and the frequencies at which they are tabulated."""

import math
from collections.abc import Mapping
from typing import Final, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from registry.engineering.bounds import in_range
from registry.engineering.level import add_levels

Curve: TypeAlias = Literal["A", "C", "Z"]
Floats: TypeAlias = npt.NDArray[np.float64]

NOMINAL_HZ: Final = (
    10.0, 12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0,
    630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0, 10000.0, 12500.0,
    16000.0, 20000.0,
)  # fmt: skip


def _poles() -> tuple[float, float, float, float]:
    """Pole frequencies from the standard's design values: C is −3 dB at 10^1.5 and 10^3.9 Hz, A adds 10^2.45 Hz."""
    reference, low, high, a_corner = 1000.0, 10**1.5, 10**3.9, 10**2.45
    half = math.sqrt(0.5)
    c = (low * high) ** 2
    b = (reference**2 + c / reference**2 - half * (low**2 + high**2)) / (1 - half)
    root = math.sqrt(b * b - 4 * c)
    golden = math.sqrt(5)
    return (
        math.sqrt((-b - root) / 2),
        (3 - golden) / 2 * a_corner,
        (3 + golden) / 2 * a_corner,
        math.sqrt((-b + root) / 2),
    )


POLES_HZ: Final = _poles()  # 20.60, 107.7, 737.9 and 12194 Hz


def high_pass_poles_hz(curve: Curve) -> tuple[float, ...]:
    """The pole frequencies of a curve that roll off the low end, each as often as it occurs.

    Parameters:
        curve: "A", "C" or "Z" (none).
    Returns:
        Frequencies [Hz].
    Raises:
        ValueError: no such curve.
    Source: IEC 61672-1:2013, 5.5.6 to 5.5.8 and Annex E, as public restatements give it.

    >>> [round(f, 1) for f in high_pass_poles_hz("A")]
    [20.6, 20.6, 107.7, 737.9]
    """
    low, second, third, _ = POLES_HZ
    return {"A": (low, low, second, third), "C": (low, low), "Z": ()}[checked_curve(curve)]


def curve_power(frequency_hz: Floats, curve: Curve) -> Floats:
    """Power response of a curve re 1 kHz: Π f²/(f² + fᵢ²) over the low poles, times (f₄²/(f² + f₄²))² for A and C.

    Parameters:
        frequency_hz: array, each above 0 [Hz].
        curve: "A", "C" or "Z".
    Returns:
        Power ratios, 1 at 1 kHz.
    Raises:
        ValueError: no such curve.
    Source: IEC 61672-1:2013, Annex E, as public restatements give it.

    >>> [round(float(g), 3) for g in curve_power(np.array([100.0, 1000.0]), "A")]
    [0.012, 1.0]
    """

    def raw(f: Floats) -> Floats:
        result = np.ones_like(f)
        for pole in high_pass_poles_hz(curve):
            result = result * f**2 / (f**2 + pole**2)
        top = POLES_HZ[3]
        return result if curve == "Z" else result * (top**2 / (f**2 + top**2)) ** 2

    return raw(frequency_hz) / raw(np.array(1000.0))


def weighting_db(frequency_hz: float, curve: Curve = "A") -> float:
    """Frequency weighting in dB re 1 kHz.

    Parameters:
        frequency_hz: above 0 to 1 MHz [Hz].
        curve: "A", "C" or "Z" (0 dB everywhere).
    Returns:
        Weighting [dB].
    Raises:
        ValueError: out of range, or no such curve.
    Source: IEC 61672-1:2013, 5.5.8 and Annex E, as public restatements give it.

    >>> round(weighting_db(100.0), 1), round(weighting_db(31.62, "C"), 1)
    (-19.1, -3.0)
    """
    in_range("frequency_hz", frequency_hz, 0.0, 1e6, unit="Hz", open_low=True)
    return 10 * math.log10(float(curve_power(np.array(frequency_hz), curve)))


def exact_frequency_hz(nominal_hz: float) -> float:
    """The exact mid-band frequency behind a nominal one: 1000 × 10^(n/10).

    Parameters:
        nominal_hz: one of the third-octave names 10 to 20000 [Hz].
    Returns:
        Frequency [Hz].
    Raises:
        ValueError: no third-octave name.
    Source: IEC 61672-1:2013, Annex D; ISO 266 (names), from memory.

    >>> round(exact_frequency_hz(12.5), 4), exact_frequency_hz(1000.0)
    (12.5893, 1000.0)
    """
    if nominal_hz not in NOMINAL_HZ:
        raise ValueError(
            f"nominal_hz is {nominal_hz}: allowed is a third-octave name, 10, 12.5, 16 ... 16000, 20000 Hz"
        )
    return float(1000 * 10 ** ((NOMINAL_HZ.index(nominal_hz) - NOMINAL_HZ.index(1000.0)) / 10))


def weighted_level(bands_db: Mapping[float, float], curve: Curve = "A") -> float:
    """Weighted level of a spectrum: 10 lg Σ 10^((Lᵢ + weighting)/10), at the exact mid-band frequencies.

    Parameters:
        bands_db: octave or third-octave levels by nominal frequency; −inf is legal and means silent [dB].
        curve: "A", "C" or "Z".
    Returns:
        Level [dB].
    Raises:
        ValueError: no band, no third-octave name, or no such curve.
    Source: IEC 61672-1:2013 (weightings); energy sum.

    >>> round(weighted_level({125.0: 60.0, 1000.0: 60.0}), 1)
    60.1
    """
    return add_levels([level + weighting_db(exact_frequency_hz(f), curve) for f, level in bands_db.items()])


def checked_curve(curve: Curve) -> Curve:
    """Return the curve, or refuse one that does not exist.

    Parameters:
        curve: "A", "C" or "Z".
    Returns:
        The curve.
    Raises:
        ValueError: no such curve.
    Source: IEC 61672-1:2013, 5.5.

    >>> checked_curve("C")
    'C'
    """
    if curve not in ("A", "C", "Z"):
        raise ValueError(f"curve is {curve!r}: allowed is A, C or Z")
    return curve
