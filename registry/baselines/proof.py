"""Is a change of level real, and which further reading would decide it? Answered by what the meters can prove."""

import math
from collections.abc import Mapping
from typing import Any, Literal, NamedTuple, TypeAlias

from registry.audio.models import TOLERANCE_DB
from registry.baselines.drift import NO_BASELINE, NOT_MEASURED, TOO_NEAR, comparison_of, facts_of
from registry.baselines.models import Reading
from registry.engineering.measure import REPEATABILITY_DB, Comparison
from registry.engineering.wording import listed

Real: TypeAlias = Literal["yes", "no", "undecided", "unknown"]
MOST_REPEATS = 20  # more than that in a row nobody reads at one spot
OCCASION = ("meter", "spot", "track")


class Proof(NamedTuple):
    """Whether a change is real, in a sentence; the smallest change that can be proved; and the reading that decides."""

    real: Real
    says: str
    smallest_db: float | None
    next_reading: str = ""
    repeats: int | None = None


def proof_of(
    reading: Reading | None, frozen: Mapping[str, Any] | None, tolerance_db: float | None, *, may_change: bool = True
) -> Proof:
    """Answer for a zone's newest reading since its baseline; `may_change` allows the advice to set the level back."""
    if frozen is None or frozen["level_db"] is None:
        return Proof("unknown", NO_BASELINE, None)
    if reading is None:
        return _unmeasured(frozen, tolerance_db)
    found = comparison_of(facts_of(reading), frozen, tolerance_db)
    if found is None:
        return Proof("undecided", TOO_NEAR, None, _quieter(frozen, tolerance_db))
    if found.verdict != "undecided":
        return Proof(_real(found), _said(found), found.guard_db)
    repeats = repeats_that_decide(facts_of(reading), frozen, tolerance_db)
    advice = _advice(facts_of(reading), frozen, found, repeats, may_change=may_change)
    return Proof("undecided", _said(found), found.guard_db, advice, repeats)


def _unmeasured(frozen: Mapping[str, Any], tolerance_db: float | None) -> Proof:
    found = comparison_of(frozen, frozen, tolerance_db)
    if found is None:
        return Proof("unknown", NOT_MEASURED, None, _quieter(frozen, tolerance_db))
    proves = f"Read it once {_as_then(frozen)}: that can prove a change of {_db(found.guard_db)} or more."
    return Proof("unknown", NOT_MEASURED, found.guard_db, proves)


def _quieter(frozen: Mapping[str, Any], tolerance_db: float | None) -> str:
    if comparison_of(frozen, frozen, tolerance_db) is None:
        return "The baseline itself was read too near to its background: freeze the next one in a quiet hour."
    return f"Read it {_as_then(frozen)} when the background is 6 dB or more below the level: 15 dB need no correction."


def _real(found: Comparison) -> Real:
    return "yes" if abs(found.change_db) > found.guard_db else "no"


def _said(found: Comparison) -> str:
    change, proves = _signed(found.change_db), f"these two readings prove a change of {_db(found.guard_db)} or more"
    tolerance = f"its tolerance of ± {found.tolerance_db:g} dB"
    proved = _real(found) == "yes"
    if found.verdict == "out":
        says = f"Yes: {change}; {proves}, so the level has left {tolerance}"
    elif found.verdict == "within":
        first = "Yes, but it is small" if proved else "No change is proved"
        says = f"{first}: {change}; {proves}. It is within {tolerance}"
    else:
        known = "A change is proved, but not on which side of the limit it lies" if proved else "It can't be told yet"
        says = f"{known}: {change}; {proves}, and {tolerance} is nearer than that"
    return f"{says}. {found.case[0].upper()}{found.case[1:]}."


def repeats_that_decide(now: Mapping[str, Any], frozen: Mapping[str, Any], tolerance_db: float | None) -> int | None:
    """Return the fewest readings with the baseline's meter, spot and track whose mean would decide a zone.

    It is taken that they still mean what was read last, and spread as single readings do (common practice). None when
    not even MOST_REPEATS would, because the baseline's own uncertainty remains.
    """
    for count in range(1, MOST_REPEATS + 1):
        found = repeated(now, frozen, tolerance_db, count=count)
        if found is not None and found.verdict != "undecided":
            return count
    return None


def repeated(
    now: Mapping[str, Any], frozen: Mapping[str, Any], tolerance_db: float | None, *, count: int
) -> Comparison | None:
    """Return the comparison as it would be after `count` readings made as those of the baseline."""
    alike = {name: frozen[name] for name in (*OCCASION, "meter_class")}
    return comparison_of({**now, **alike}, frozen, tolerance_db, levels=spread_readings(now["level_db"], count))


def spread_readings(level_db: float, count: int) -> list[float]:
    """Return readings of this mean whose standard deviation is the one that single readings have.

    >>> spread_readings(62.0, 3)
    [61.8, 62.0, 62.2]
    """
    if count == 1:
        return [level_db]
    pairs = count // 2
    step = REPEATABILITY_DB * math.sqrt((count - 1) / (2 * pairs))
    return [level_db - step] * pairs + [level_db] * (count % 2) + [level_db + step] * pairs


def _advice(
    now: Mapping[str, Any],
    frozen: Mapping[str, Any],
    found: Comparison,
    repeats: int | None,
    *,
    may_change: bool,
) -> str:
    after = repeated(now, frozen, found.tolerance_db or TOLERANCE_DB, count=repeats or MOST_REPEATS)
    assert after is not None
    if repeats is None:
        return _no_reading_decides(frozen, after, may_change=may_change)
    times = "once more" if repeats == 1 else f"{repeats} times"
    mean = "reads" if repeats == 1 else "averages"
    falls = f"the smallest change that can be proved falls to {after.guard_db:.2f} dB, and the zone is {after.verdict}"
    return f"Read it {times} {_as_then(frozen)}: if it {mean} {_db(now['level_db'])} again, {falls}."


def _no_reading_decides(frozen: Mapping[str, Any], after: Comparison, *, may_change: bool) -> str:
    missing = [name for name in OCCASION if not frozen[name]]
    back = "put the level back to what was agreed, and " if may_change else ""
    if missing:
        return (
            f"No further reading decides it: the baseline doesn't record its {listed(missing)}, so the meter's fixed "
            f"error never cancels. To end the doubt {back}freeze the next baseline with meter, spot and track."
        )
    gap_db = abs(abs(after.change_db) - after.tolerance_db)
    gap = f"{gap_db:.1f} dB" if gap_db >= 0.05 else "less than 0.1 dB"
    return (
        f"No number of readings up to {MOST_REPEATS} decides it: the level lies {gap} from the limit, "
        f"and {after.guard_db:.2f} dB would still be the smallest change that can be proved, for the baseline's own "
        f"reading stays uncertain. To end the doubt {back}freeze the next baseline."
    )


def _as_then(frozen: Mapping[str, Any]) -> str:
    """With what, where and to which track the baseline was read."""
    words = (("meter", "with"), ("spot", "at"), ("track", "to"))
    said = [f"{word} {frozen[name]}" for name, word in words if frozen[name]]
    return " ".join(said) + (", as the baseline was" if said else "with the baseline's meter, spot and track")


def _signed(change_db: float) -> str:
    return f"{change_db:+.1f} dB".replace("-", "−")


def _db(value: float) -> str:
    return f"{value:.1f} dB"
