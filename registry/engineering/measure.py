"""Readings and what they prove: mean and uncertainty, and whether a level has left its baseline."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal, TypeAlias

from registry.engineering.background import Corrected, Rule, correct_for_background
from registry.engineering.bounds import in_range
from registry.engineering.uncertainty import combined, deviation_of_mean, effective_freedom, rectangular, t_factor

__all__ = [
    "Comparison",
    "Corrected",
    "Measured",
    "Occasion",
    "compare",
    "correct_for_background",
    "mean_and_uncertainty",
    "smallest_change_db",
    "without_background",
]

Verdict: TypeAlias = Literal["within", "out", "undecided"]

# Half widths of the meter's fixed error. Classes: acceptance limits at 1 kHz, IEC 61672-1:2013 Table 3, as public
# restatements give it. A phone as it comes is common practice, not a limit: comparisons found far larger errors.
PHONE_HALF_WIDTH_DB: Final = 5.0
METER_HALF_WIDTH_DB: Final = {"1": 0.7, "2": 1.0, "phone": PHONE_HALF_WIDTH_DB}

# Common practice, all four: override them where something better is known.
PLACING_DB: Final = 0.3  # putting the microphone back on its spot
REPEATABILITY_DB: Final = 0.2  # spread of single readings, each a mean over half a minute of a steady track
OTHER_SPOT_HALF_WIDTH_DB: Final = 2.5  # levels inside a zone differ by 4 to 5 dB
OTHER_TRACK_HALF_WIDTH_DB: Final = 3.0  # music of another level and spectrum

DEFAULT_TOLERANCE_DB: Final = 2.0  # common practice: a zone against its own baseline


@dataclass(frozen=True, slots=True)
class Occasion:
    """What was used: meter, spot and track; None is not recorded, and not recorded is never "the same"."""

    meter: str | None = None
    spot: str | None = None
    track: str | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """A mean level with its standard uncertainties [dB], kept apart by what can cancel in a comparison."""

    level_db: float
    count: int
    repeat_db: float  # type A; assumed when there is one reading
    freedom: float  # degrees of freedom of repeat_db; inf when assumed
    handling_db: float  # type B: display step and placing of the microphone
    meter_db: float  # type B: the meter's fixed error
    occasion: Occasion
    assumed: str  # what was assumed, in words; "" when nothing was

    @property
    def standard_db(self) -> float:
        """Combined standard uncertainty."""
        return combined([self.repeat_db, self.handling_db, self.meter_db])

    @property
    def effective_freedom(self) -> float:
        """Degrees of freedom of the combined uncertainty."""
        parts = [self.repeat_db, self.handling_db, self.meter_db]
        return effective_freedom(parts, [self.freedom, math.inf, math.inf])

    @property
    def k(self) -> float:
        """Coverage factor for 95.45 %: 2.00 unless few readings dominate."""
        return t_factor(self.effective_freedom)

    @property
    def expanded_db(self) -> float:
        """Expanded uncertainty k u."""
        return self.k * self.standard_db


@dataclass(frozen=True, slots=True)
class Comparison:
    """The verdict on a change, and why."""

    verdict: Verdict
    change_db: float
    tolerance_db: float
    guard_db: float
    cancelled: bool
    case: str

    @property
    def smallest_change_db(self) -> float:
        """The smallest change that these two readings can prove."""
        return self.guard_db


def mean_and_uncertainty(
    readings: Sequence[float],
    meter_class: str | None,
    *,
    meter_half_width_db: float | None = None,
    resolution_db: float = 0.1,
    placing_db: float = PLACING_DB,
    repeatability_db: float = REPEATABILITY_DB,
    occasion: Occasion | None = None,
) -> Measured:
    """Arithmetic mean of repeated readings at one spot, with type A (s/√n, t-factor through ν) and type B uncertainty.

    Type B: the meter's limit as a rectangular half width, the display step / √12, the placing of the microphone.
    For several spots of a zone take `level.mean_level` instead: an energy mean.

    Parameters:
        readings: one or more levels [dB]; with one, its spread is taken from `repeatability_db`.
        meter_class: "1", "2", "phone", or None: not recorded, taken as a phone.
        meter_half_width_db: the meter's own limit instead of its class's, 0 or more [dB].
        resolution_db: display step, 0 or more [dB].
        placing_db: standard uncertainty of putting the microphone back, 0 or more [dB].
        repeatability_db: standard deviation of single readings, known from before, 0 or more [dB].
        occasion: meter, spot and track, for comparisons.
    Returns:
        Mean, uncertainties, and (as properties) the combined and the expanded one with its k.
    Raises:
        ValueError: no reading, not finite, negative, or no such class.
    Source: JCGM 100:2008, 4.2, 4.3, G.4; limits at 1 kHz of IEC 61672-1:2013 Table 3, as restated in public; a phone
        is common practice.

    >>> m = mean_and_uncertainty([70.1, 70.4, 69.8, 70.2, 70.0], "2")
    >>> round(m.level_db, 2), round(m.standard_db, 3), round(m.k, 2), round(m.expanded_db, 2)
    (70.1, 0.659, 2.0, 1.32)
    """
    if not readings:
        raise ValueError("readings is empty: allowed is one or more; read the level first")
    for reading in readings:
        in_range("a reading", reading, -math.inf, math.inf, unit="dB")
    in_range("placing_db", placing_db, 0.0, math.inf, unit="dB")
    in_range("repeatability_db", repeatability_db, 0.0, math.inf, unit="dB")
    single = len(readings) == 1
    step_db = in_range("resolution_db", resolution_db, 0.0, math.inf, unit="dB") / math.sqrt(12)
    return Measured(
        level_db=math.fsum(readings) / len(readings),
        count=len(readings),
        repeat_db=repeatability_db if single else deviation_of_mean(readings),
        freedom=math.inf if single else len(readings) - 1,
        handling_db=combined([step_db, placing_db]),
        meter_db=_meter_db(meter_class, meter_half_width_db),
        occasion=occasion or Occasion(),
        assumed=_assumed(single, meter_class if meter_half_width_db is None else "own"),
    )


def _meter_db(meter_class: str | None, half_width_db: float | None) -> float:
    if half_width_db is not None:
        return rectangular(half_width_db)
    if meter_class is not None and meter_class not in METER_HALF_WIDTH_DB:
        raise ValueError(f"meter_class is {meter_class!r}: allowed is one of {', '.join(METER_HALF_WIDTH_DB)}, or None")
    return rectangular(METER_HALF_WIDTH_DB[meter_class or "phone"])


def _assumed(single: bool, meter_class: str | None) -> str:
    parts = ["repeatability assumed (one reading)"] * single
    parts += ["meter class not recorded, taken as a phone"] * (meter_class is None)
    return "; ".join(parts)


def without_background(measured: Measured, background_db: float, rule: Rule = "iso_3744") -> Measured | None:
    """A measured level without its background: the random uncertainties grow, the meter's fixed error stays.

    Parameters:
        measured: the level with the source on.
        background_db: level with the source off, read with the same meter at the same spot [dB].
        rule: as in `correct_for_background`.
    Returns:
        The corrected level; None where the background is so near that only an upper bound is known.
    Raises:
        ValueError: not finite, or no such rule.
    Source: as `correct_for_background`; JCGM 100:2008, 5.1.2, both readings taken as equally repeatable.

    >>> on = mean_and_uncertainty([60.0], "2")
    >>> off = without_background(on, 52.0)
    >>> round(off.level_db, 2), round(off.repeat_db / on.repeat_db, 2), without_background(on, 58.0)
    (59.25, 1.2, None)
    """
    corrected = correct_for_background(measured.level_db, background_db, rule)
    if corrected.level_db is None:
        return None
    return replace(
        measured,
        level_db=corrected.level_db,
        repeat_db=measured.repeat_db * corrected.growth,
        handling_db=measured.handling_db * corrected.growth,
    )


def smallest_change_db(reading_db: float, baseline_db: float, *, k: float = 2.0) -> float:
    """The smallest change that two independent readings can prove: k √(u₁² + u₂²).

    Parameters:
        reading_db, baseline_db: standard uncertainties of the two, without what cancels, 0 or more [dB].
        k: coverage factor, 0 or more.
    Returns:
        Change [dB].
    Raises:
        ValueError: out of range.
    Source: JCGM 100:2008, 5.1.2 and 6.2.1.

    >>> round(smallest_change_db(0.35, 0.35), 2)
    0.99
    """
    return in_range("k", k, 0.0, math.inf) * combined([reading_db, baseline_db])


def compare(
    reading: Measured,
    baseline: Measured,
    tolerance_db: float = DEFAULT_TOLERANCE_DB,
    *,
    other_spot_half_width_db: float = OTHER_SPOT_HALF_WIDTH_DB,
    other_track_half_width_db: float = OTHER_TRACK_HALF_WIDTH_DB,
) -> Comparison:
    """Whether a level has left its baseline, with a guard band of the expanded uncertainty of the change.

    |change| ≤ tolerance − U is within, |change| > tolerance + U is out, between them it is undecided. U = k u(change);
    the meter's fixed error cancels only when meter, spot and track are recorded and the same. Another (or unrecorded)
    spot or track adds its own uncertainty.

    Parameters:
        reading, baseline: from `mean_and_uncertainty`.
        tolerance_db: allowed change either way, above 0 [dB].
        other_spot_half_width_db, other_track_half_width_db: what another spot or track can change by itself [dB].
    Returns:
        Verdict, change, guard band (the smallest change these readings can prove), and which case it was.
    Raises:
        ValueError: out of range.
    Source: JCGM 106:2012, 8.3 (guarded acceptance and rejection, w = U); allowances: common practice.

    >>> here = Occasion("meter A", "P1", "track 1")
    >>> then = mean_and_uncertainty([62.0, 62.2, 61.9], "2", occasion=here)
    >>> compare(mean_and_uncertainty([66.1, 66.0, 66.2], "2", occasion=here), then).verdict
    'out'
    >>> compare(mean_and_uncertainty([63.5], "phone"), then).verdict
    'undecided'
    """
    in_range("tolerance_db", tolerance_db, 0.0, math.inf, unit="dB", open_low=True)
    spot, track = rectangular(other_spot_half_width_db), rectangular(other_track_half_width_db)
    differing = _differing(reading.occasion, baseline.occasion)
    extra = [spot if "spot" in differing else 0.0, track if "track" in differing else 0.0]
    both = (reading, baseline)
    fixed = [m.meter_db for m in both] if differing else []
    parts = [m.repeat_db for m in both] + [m.handling_db for m in both] + extra + fixed
    freedoms = [m.freedom for m in both] + [math.inf] * (len(parts) - 2)
    guard = t_factor(effective_freedom(parts, freedoms)) * combined(parts)
    change = reading.level_db - baseline.level_db
    return Comparison(
        verdict=_verdict(abs(change), tolerance_db, guard),
        change_db=change,
        tolerance_db=tolerance_db,
        guard_db=guard,
        cancelled=not differing,
        case=_case(differing),
    )


def _verdict(size_db: float, tolerance_db: float, guard_db: float) -> Verdict:
    if size_db > tolerance_db + guard_db:
        return "out"
    return "within" if size_db <= tolerance_db - guard_db else "undecided"


def _differing(one: Occasion, other: Occasion) -> dict[str, str]:
    """What is not known to be the same, and why."""
    pairs = {
        "meter": (one.meter, other.meter),
        "spot": (one.spot, other.spot),
        "track": (one.track, other.track),
    }
    return {
        name: "not recorded" if not (a and b) else "another one" for name, (a, b) in pairs.items() if not (a and a == b)
    }


def _case(differing: dict[str, str]) -> str:
    if not differing:
        return "same meter, spot and track: the meter's fixed error cancels"
    reasons = ", ".join(f"{name} {why}" for name, why in differing.items())
    return f"{reasons}: the meter's fixed error counts; read with the same meter, spot and track to see smaller changes"
