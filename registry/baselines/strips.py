"""A zone's drift as a level strip."""

from collections.abc import Mapping

from registry.audio.models import TOLERANCE_DB, Drift, Zone
from registry.baselines.drift import ZoneDrift
from registry.drawings.level_strip import LevelStrip
from registry.drawings.marks import StripWord

WORDS: Mapping[Drift, StripWord] = {
    Drift.WITHIN: "within",
    Drift.OUT: "out",
    Drift.UNDECIDED: "undecided",
    Drift.NOT_MEASURED: "not measured",
    Drift.NO_BASELINE: "no baseline",
}


def strip_of(zone: Zone, drift: ZoneDrift) -> LevelStrip:
    """Return the level strip of one zone whose drift is known."""
    return LevelStrip(
        title=zone.name,
        word=WORDS[drift.verdict],
        baseline_db=drift.baseline_db,
        tolerance_db=zone.tolerance_db or TOLERANCE_DB,
        reading_db=_without_background(drift),
        uncertainty_db=drift.uncertainty_db,
        at_most=drift.verdict == Drift.UNDECIDED and drift.drift_db is None,
    )


def _without_background(drift: ZoneDrift) -> float | None:
    """Where the level was corrected for the background, the mark stands where the drift says, not at the raw level."""
    if drift.baseline_db is None or drift.drift_db is None:
        return drift.level_db
    return drift.baseline_db + drift.drift_db
