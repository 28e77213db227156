"""Uncertainty by the GUM: spread of readings, t-factors, combination and degrees of freedom."""

import functools
import math
import statistics
from collections.abc import Callable, Sequence
from typing import Final

from registry.engineering.bounds import in_range

COVERAGE: Final = 0.9545  # k is 2.000 for many degrees of freedom (JCGM 100 G.1.3)
_MANY: Final = 2000  # from here on the expansion is good to 11 digits, and the gamma functions below are not
_TINY: Final = 1e-300


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known only to lie within ± half_width: a / √3.

    Parameters:
        half_width: 0 or more, any unit.
    Returns:
        Standard uncertainty in the same unit.
    Raises:
        ValueError: negative or not finite.
    Source: JCGM 100:2008, 4.3.7.

    >>> round(rectangular(1.0), 4)
    0.5774
    """
    return in_range("half_width", half_width, 0.0, math.inf) / math.sqrt(3)


def deviation_of_mean(readings: Sequence[float]) -> float:
    """Type A standard uncertainty of the mean: s / √n.

    Parameters:
        readings: two or more finite values of one quantity.
    Returns:
        Standard uncertainty in the same unit.
    Raises:
        ValueError: fewer than two readings, or one not finite.
    Source: JCGM 100:2008, 4.2.2 and 4.2.3.

    >>> round(deviation_of_mean([70.1, 70.4, 69.8]), 4)
    0.1732
    """
    if len(readings) < 2:
        raise ValueError(f"readings has {len(readings)}: a spread needs at least 2; read again")
    for reading in readings:
        in_range("a reading", reading, -math.inf, math.inf)
    return statistics.stdev(readings) / math.sqrt(len(readings))


def combined(parts: Sequence[float], correlation: float = 0.0) -> float:
    """Combined standard uncertainty: √(Σuᵢ² + 2 r Σ uᵢ uⱼ).

    Parameters:
        parts: standard uncertainties, each 0 or more, one unit.
        correlation: r of every pair, 0 (independent) to 1 (they move together).
    Returns:
        Standard uncertainty in the same unit.
    Raises:
        ValueError: out of range.
    Source: JCGM 100:2008, 5.1.2 and 5.2.2.

    >>> combined([3.0, 4.0]), combined([0.1, 0.2], correlation=1.0)
    (5.0, 0.3)
    """
    in_range("correlation", correlation, 0.0, 1.0)
    for part in parts:
        in_range("an uncertainty", part, 0.0, math.inf)
    alone = math.fsum(part * part for part in parts)
    together = math.fsum(parts) ** 2
    return round(math.sqrt(alone + correlation * (together - alone)), 15)


def effective_freedom(parts: Sequence[float], freedoms: Sequence[float]) -> float:
    """Effective degrees of freedom by Welch and Satterthwaite: u⁴ / Σ(uᵢ⁴/νᵢ).

    Parameters:
        parts: independent standard uncertainties, each 0 or more.
        freedoms: degrees of freedom of each, 1 or more; inf is legal and means taken as exactly known.
    Returns:
        Degrees of freedom, not rounded; inf when nothing is uncertain about the uncertainties.
    Raises:
        ValueError: lists of unequal length or out of range.
    Source: JCGM 100:2008, G.4.1 (it rounds down; this does not).

    >>> round(effective_freedom([0.1, 0.1], [4.0, math.inf]), 6)
    16.0
    """
    if len(parts) != len(freedoms) or any(not nu >= 1 for nu in freedoms):
        raise ValueError(f"freedoms is {list(freedoms)}: allowed is 1 or more for each of the {len(parts)} parts")
    total = math.fsum((part / nu) * part**3 for part, nu in zip(parts, freedoms, strict=True))
    return combined(parts) ** 4 / total if total else math.inf


def relative_uncertainty_of_deviation(count: int) -> float:
    """How uncertain a standard deviation from a few readings itself is: about 1 / √(2 (n − 1)).

    Parameters:
        count: number of readings, 2 or more.
    Returns:
        Relative standard uncertainty; good for 10 readings or more, too small below.
    Raises:
        ValueError: fewer than two.
    Source: JCGM 100:2008, E.4.3 (approximate formula).

    >>> round(relative_uncertainty_of_deviation(30), 2)
    0.13
    """
    in_range("count", count, 2, math.inf)
    return 1 / math.sqrt(2 * (count - 1))


def interval_of_mean(mean: float, deviation: float, *, count: int, coverage: float = 0.95) -> tuple[float, float]:
    """Confidence interval of a mean: mean ± t s/√n.

    Parameters:
        mean: mean of the readings.
        deviation: their sample standard deviation s, 0 or more.
        count: their number, 2 or more.
        coverage: above 0, below 1.
    Returns:
        Lower and upper end.
    Raises:
        ValueError: out of range.
    Source: NIST/SEMATECH e-Handbook 1.3.5.2.

    >>> [round(end, 2) for end in interval_of_mean(70.0, 0.5, count=5)]
    [69.38, 70.62]
    """
    in_range("count", count, 2, math.inf)
    in_range("deviation", deviation, 0.0, math.inf)
    half = t_factor(count - 1, coverage) * deviation / math.sqrt(count)
    return mean - half, mean + half


@functools.lru_cache(maxsize=512)
def t_factor(freedom: float, coverage: float = COVERAGE) -> float:
    """Student's t for a two-sided coverage: the t for which the share of the distribution within ±t is `coverage`.

    Parameters:
        freedom: degrees of freedom, 1 or more, need not be whole; inf is legal (normal distribution).
        coverage: 0.01 to 0.9999.
    Returns:
        The factor k for an expanded uncertainty.
    Raises:
        ValueError: out of range.
    Source: JCGM 100:2008, G.3; values in NIST TN 1297, Table B.1. Computed from the incomplete beta function.

    >>> round(t_factor(4, 0.95), 3), round(t_factor(math.inf), 3)
    (2.776, 2.0)
    """
    if not freedom >= 1:
        raise ValueError(f"freedom is {freedom}: allowed is at least 1; take at least two readings")
    in_range("coverage", coverage, 0.01, 0.9999)
    if freedom > _MANY:
        return _t_of_many(freedom, statistics.NormalDist().inv_cdf((1 + coverage) / 2))
    # I_x(ν/2, 1/2) at x = ν/(ν + t²) is the share outside ±t; it falls as t grows.
    return _root(lambda t: _outside(t, freedom) - (1 - coverage))


def _t_of_many(freedom: float, z: float) -> float:
    """Expansion of t about the normal quantile (Abramowitz and Stegun 26.7.5, first three terms)."""
    first = (z**3 + z) / (4 * freedom)
    second = (5 * z**5 + 16 * z**3 + 3 * z) / (96 * freedom**2)
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * freedom**3)
    return z + first + second + third


def _root(falling: Callable[[float], float]) -> float:
    """Where a falling function of t > 0 crosses zero, by halving the bracket down to the last bits."""
    low, high = 0.0, 1.0
    while falling(high) > 0:
        low, high = high, 2 * high
    while (middle := (low + high) / 2) not in (low, high):
        low, high = (middle, high) if falling(middle) > 0 else (low, middle)
    return middle


def _outside(t: float, freedom: float) -> float:
    """Share of Student's distribution outside ±t."""
    if t == 0:
        return 1.0
    a, b, x = freedom / 2, 0.5, freedom / (freedom + t * t)
    beta = math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - beta)
    if x < (a + 1) / (a + b + 2):
        return front * _beta_fraction(a, b, x) / a
    return 1 - front * _beta_fraction(b, a, t * t / (freedom + t * t)) / b


def _beta_fraction(a: float, b: float, x: float) -> float:
    """Continued fraction of the incomplete beta function (DLMF 8.17.22), by Lentz's method."""
    c, d = 1.0, 1 / ((1 - (a + b) * x / (a + 1)) or _TINY)
    result = d
    for m in range(1, 10_000):
        for step in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / ((1 + step * d) or _TINY)
            c = (1 + step / c) or _TINY
            result *= c * d
        if abs(c * d - 1) < 1e-16:
            break
    return result
