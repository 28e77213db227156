"""A level read in noise: what remains when the background is taken away, by three published rules."""

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from registry.engineering.bounds import in_range

Rule: TypeAlias = Literal["iso_3744", "iso_1996_2", "astm_e336"]


@dataclass(frozen=True, slots=True)
class BackgroundRule:
    """Below `limit_db` apart there is no result; from `none_from_db` apart no correction is made."""

    name: str
    limit_db: float
    none_from_db: float


# As public restatements give them; the standards themselves were not seen.
RULES: Final[dict[Rule, BackgroundRule]] = {
    "iso_3744": BackgroundRule("ISO 3744:2010, 8.2.3", 6.0, 15.0),
    "iso_1996_2": BackgroundRule("ISO 1996-2:2017", 3.0, 10.0),
    "astm_e336": BackgroundRule("ASTM E336-11", 5.0, 10.0),
}


@dataclass(frozen=True, slots=True)
class Corrected:
    """A level without its background; `level_db` is None where the background was too near: only a bound is known."""

    level_db: float | None
    upper_bound_db: float
    correction_db: float
    difference_db: float
    growth: float
    rule: Rule
    note: str

    @property
    def upper_bound_only(self) -> bool:
        """Whether the level itself is unknown."""
        return self.level_db is None


def k1_db(difference_db: float) -> float:
    """Background correction: K1 = −10 lg(1 − 10^(−ΔL/10)).

    Parameters:
        difference_db: level with the source on less level of the background, above 0 [dB].
    Returns:
        What to take off the level [dB], above 0.
    Raises:
        ValueError: 0 or less, or not finite.
    Source: ISO 3744:2010, 8.2.3, formula as restated in public sources.

    >>> round(k1_db(6.0), 2), round(k1_db(10.0), 2)
    (1.26, 0.46)
    """
    in_range("difference_db", difference_db, 0.0, math.inf, unit="dB", open_low=True, remedy="read both again")
    return -10 * math.log10(-math.expm1(-difference_db * math.log(10) / 10))


def correct_for_background(level_db: float, background_db: float, rule: Rule = "iso_3744") -> Corrected:
    """Take the background off a level, by one named rule.

    ISO 3744: nothing from 15 dB apart, K1 from 6 to 15 dB; ISO 1996-2: 10 and 3 dB; ASTM E336: 10 and 5 dB. Nearer than
    that no level is given, only a bound that it cannot pass: the reading less K1 at the limit. (The standards print
    that bound rounded, 1.3 dB in ISO 3744 and 2 dB in ASTM E336; unrounded it stays a bound.) A background as loud as
    the reading was not steady: the reading itself is the bound.

    Parameters:
        level_db: level with the source on [dB].
        background_db: level with the source off, same spot and meter [dB].
        rule: "iso_3744", "iso_1996_2" or "astm_e336".
    Returns:
        The corrected level or its bound, the rule used, and by how much random errors grow: √(1 + q²)/(1 − q) with
        q = 10^(−ΔL/10) for equal errors of both readings (JCGM 100, 5.1.2).
    Raises:
        ValueError: not finite, or no such rule.
    Source: the three standards, as public restatements give them.

    >>> round(correct_for_background(60.0, 52.0).level_db, 2), correct_for_background(60.0, 45.0).correction_db
    (59.25, 0.0)
    >>> near = correct_for_background(60.0, 58.0)
    >>> near.level_db is None, round(near.upper_bound_db, 1), near.note[:16]
    (True, 58.7, 'upper bound only')
    """
    if rule not in RULES:
        raise ValueError(f"rule is {rule!r}: allowed is one of {', '.join(RULES)}")
    in_range("level_db", level_db, -math.inf, math.inf, unit="dB")
    in_range("background_db", background_db, -math.inf, math.inf, unit="dB")
    law, difference = RULES[rule], level_db - background_db
    if difference < law.limit_db:
        taken = k1_db(law.limit_db) if difference > 0 else 0.0
        return Corrected(None, level_db - taken, taken, difference, math.inf, rule, _near_note(law, difference))
    if difference >= law.none_from_db:
        note = f"no correction: {difference:.1f} dB above the background ({law.name})"
        return Corrected(level_db, level_db, 0.0, difference, 1.0, rule, note)
    taken = k1_db(difference)
    share = 10 ** (-difference / 10)
    growth = math.sqrt(1 + share * share) / (1 - share)
    note = f"corrected by {taken:.1f} dB ({law.name})"
    return Corrected(level_db - taken, level_db - taken, taken, difference, growth, rule, note)


def _near_note(law: BackgroundRule, difference_db: float) -> str:
    why = f"the background is only {difference_db:.1f} dB below, {law.limit_db:g} dB are needed ({law.name})"
    if difference_db <= 0:
        why = "the background is as loud as the reading, so it was not steady"
    return f"upper bound only: {why}; lower the background or raise the signal and read again"
