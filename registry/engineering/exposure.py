"""How long ears may stay: the NIOSH and OSHA rules, as arithmetic. A spot reading is not an exposure assessment."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from registry.engineering.bounds import in_range

Rule: TypeAlias = Literal["niosh", "osha"]


@dataclass(frozen=True, slots=True)
class ExposureRule:
    """Eight hours at the criterion level; every exchange rate above it halves the time."""

    criterion_db: float
    exchange_db: float
    highest_db: float
    name: str


RULES: Final[dict[Rule, ExposureRule]] = {
    "niosh": ExposureRule(85.0, 3.0, 140.0, "NIOSH 98-126"),
    "osha": ExposureRule(90.0, 5.0, 130.0, "29 CFR 1910.95 Appendix A"),
}
COUNTED_FROM_DB: Final = 80.0  # both rules add up what is at or above 80 dB(A)
CAUTION_FROM_DB: Final = 80.0  # common practice, after the lower action value used in Europe (from memory)

# 29 CFR 1910.95 Table G-16: permissible hours at each printed level (102 and 115 dB(A) from memory).
OSHA_TABLE_G16: Final = (
    (90.0, 8.0),
    (92.0, 6.0),
    (95.0, 4.0),
    (97.0, 3.0),
    (100.0, 2.0),
    (102.0, 1.5),
    (105.0, 1.0),
    (110.0, 0.5),
    (115.0, 0.25),
)


def allowed_hours(level_dba: float, rule: Rule = "niosh") -> float:
    """Allowed time a day at a steady level: 8 h / 2^((L − criterion)/exchange rate).

    NIOSH recommends 85 dB(A) with 3 dB; OSHA's reference durations are for 90 dB(A) with 5 dB.

    Parameters:
        level_dba: 0 to 140 (NIOSH) or 130 (OSHA) [dB(A)], as an 8-hour concern: slow, steady.
        rule: "niosh" or "osha".
    Returns:
        Time [h]; more than 24 h means that a day has no limit by this rule.
    Raises:
        ValueError: out of range, or no such rule. Above 115 dB(A) OSHA allows no steady noise, whatever this says.
    Source: NIOSH 98-126, 1.1; 29 CFR 1910.95 Appendix A, Table G-16A.

    >>> allowed_hours(91.0), allowed_hours(95.0, "osha")
    (2.0, 4.0)
    """
    law = _law(rule)
    in_range("level_dba", level_dba, 0.0, law.highest_db, unit="dB(A)", remedy="nobody may stay there: leave")
    return float(8 / 2 ** ((level_dba - law.criterion_db) / law.exchange_db))


def osha_table_hours(level_dba: float) -> float | None:
    """Permissible hours of the printed OSHA table; between two printed levels the shorter time.

    Parameters:
        level_dba: 0 to 115 [dB(A)].
    Returns:
        Time [h]; None below 90 dB(A), where the table has no limit.
    Raises:
        ValueError: out of range; above 115 dB(A) the table allows no time.
    Source: 29 CFR 1910.95 Table G-16, seen as 41 CFR 50-204.10 Table I; 102 and 115 dB(A) from memory.

    >>> osha_table_hours(92.0), osha_table_hours(93.0), osha_table_hours(80.0)
    (6.0, 4.0, None)
    """
    in_range("level_dba", level_dba, 0.0, OSHA_TABLE_G16[-1][0], unit="dB(A)", remedy="no time is allowed above it")
    if level_dba < OSHA_TABLE_G16[0][0]:
        return None
    return next(hours for printed, hours in OSHA_TABLE_G16 if printed >= level_dba)


def dose_percent(exposures: Sequence[tuple[float, float]], rule: Rule = "niosh") -> float:
    """Dose of a day: D = 100 Σ C/T, of what is at or above 80 dB(A).

    Parameters:
        exposures: pairs of level [dB(A)] and time [h], together at most 24 h.
        rule: "niosh" or "osha".
    Returns:
        Dose [%]; 100 is the limit.
    Raises:
        ValueError: out of range, or no such rule.
    Source: NIOSH 98-126, 1.1; 29 CFR 1910.95 Appendix A, I.

    >>> dose_percent([(85.0, 4.0), (88.0, 2.0), (91.0, 1.0)])
    150.0
    """
    for level, hours in exposures:
        in_range("level_dba", level, 0.0, _law(rule).highest_db, unit="dB(A)")
        in_range("hours", hours, 0.0, 24.0, unit="h")
    in_range("all hours together", math.fsum(hours for _, hours in exposures), 0.0, 24.0, unit="h")
    return dose_of_times([(h, allowed_hours(level, rule)) for level, h in exposures if level >= COUNTED_FROM_DB])


def dose_of_times(times: Sequence[tuple[float, float]]) -> float:
    """Dose from times spent and times allowed: D = 100 Σ C/T.

    Parameters:
        times: pairs of time spent, 0 or more, and time allowed, above 0, in one unit.
    Returns:
        Dose [%].
    Raises:
        ValueError: out of range.
    Source: 29 CFR 1910.95 Appendix A, I.

    >>> round(dose_of_times([(8.0, 6.1)]))
    131
    """
    for spent, allowed in times:
        in_range("time spent", spent, 0.0, math.inf)
        in_range("time allowed", allowed, 0.0, math.inf, open_low=True)
    return 100 * math.fsum(spent / allowed for spent, allowed in times)


def time_weighted_average_db(dose_percent: float, rule: Rule = "niosh") -> float:
    """The steady level over 8 h that gives a dose: criterion + exchange rate / lg 2 × lg(D/100).

    Parameters:
        dose_percent: above 0 [%].
        rule: "niosh" (85 + 9.97 lg) or "osha" (90 + 16.61 lg).
    Returns:
        Level [dB(A)].
    Raises:
        ValueError: 0 or less, or no such rule.
    Source: 29 CFR 1910.95 Appendix A, II (TWA = 16.61 lg(D/100) + 90); NIOSH 98-126 (10 lg(D/100) + 85).

    >>> round(time_weighted_average_db(50.0, "osha"), 2)
    85.0
    """
    in_range("dose_percent", dose_percent, 0.0, math.inf, unit="%", open_low=True)
    law = _law(rule)
    return law.criterion_db + law.exchange_db / math.log10(2) * math.log10(dose_percent / 100)


def exposure_caution(level_dba: float | None) -> str | None:
    """The line to show beside a level at which staff exposure may need assessment.

    Parameters:
        level_dba: any finite level [dB(A)]; None is not known.
    Returns:
        One line, or None below 80 dB(A) or where no level is known.
    Raises:
        ValueError: not finite.
    Source: common practice; the level after the lower European action value (from memory).

    >>> exposure_caution(79.9) is None, exposure_caution(84.0)[:14]
    (True, '80 dB(A) or mo')
    """
    if level_dba is None or in_range("level_dba", level_dba, -math.inf, math.inf, unit="dB(A)") < CAUTION_FROM_DB:
        return None
    return (
        "80 dB(A) or more: staff exposure may need assessment by a competent person. "
        "A spot reading is not an exposure assessment; local rules decide."
    )


def _law(rule: Rule) -> ExposureRule:
    if rule not in RULES:
        raise ValueError(f"rule is {rule!r}: allowed is one of {', '.join(RULES)}")
    return RULES[rule]
