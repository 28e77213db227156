"""How far a zone has drifted from its baseline, and whether the meter could tell."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet

from registry.audio.models import TOLERANCE_DB, Drift, Zone
from registry.baselines.models import Baseline, Reading
from registry.baselines.queries import newest_baselines, newest_readings
from registry.engineering.measure import (
    Comparison,
    Measured,
    Occasion,
    compare,
    mean_and_uncertainty,
    without_background,
)


class ZoneDrift(NamedTuple):
    """A zone's last reading against its baseline; None where one of the two is not known."""

    verdict: Drift
    level_db: float | None
    baseline_db: float | None
    drift_db: float | None
    uncertainty_db: float | None
    says: str


NO_BASELINE = "No baseline holds a level of this zone: freeze one when it is set as agreed."
NOT_MEASURED = "Not measured since the baseline was frozen."
TOO_NEAR = "The background is so near to the level that only an upper bound is known: read it again when it is quiet."


def zone_drift(reading: Reading | None, frozen: Mapping[str, Any] | None, tolerance_db: float | None) -> ZoneDrift:
    """Compare a reading with the zone's entry in a baseline's content; both may be missing."""
    baseline_db: float | None = frozen["level_db"] if frozen else None
    level_db = reading.level_db if reading else None
    if frozen is None or baseline_db is None:
        return ZoneDrift(Drift.NO_BASELINE, level_db, None, None, None, NO_BASELINE)
    if reading is None:
        return ZoneDrift(Drift.NOT_MEASURED, None, baseline_db, None, None, NOT_MEASURED)
    found = comparison_of(facts_of(reading), frozen, tolerance_db)
    if found is None:
        return ZoneDrift(Drift.UNDECIDED, level_db, baseline_db, None, None, TOO_NEAR)
    return ZoneDrift(Drift(found.verdict), level_db, baseline_db, found.change_db, found.guard_db, _says(found))


def _says(found: Comparison) -> str:
    change = f"{found.change_db:+.1f} dB".replace("-", "−")
    amount = f"{change} against the baseline, tolerance ±{found.tolerance_db:g} dB"
    return f"{amount}; these readings can prove a change of {found.guard_db:.1f} dB or more ({found.case})."


FACTS = ("level_db", "background_db", "spot", "meter", "meter_class", "track")


def facts_of(reading: Reading) -> dict[str, Any]:
    """Return what is needed to judge a reading, under the names that a baseline has for it."""
    return {name: getattr(reading, name) for name in FACTS} | {"spot": reading.spot or reading.zone.spot}


def comparison_of(
    now: Mapping[str, Any], frozen: Mapping[str, Any], tolerance_db: float | None, *, levels: Sequence[float] = ()
) -> Comparison | None:
    """Compare what was read with the baseline's entry; None where the background leaves only an upper bound.

    `levels` are repeated readings that stand for the single one in `now`.
    """
    measured, then = _measured(now, levels or [now["level_db"]]), _measured(frozen, [frozen["level_db"]])
    if measured is None or then is None:
        return None
    return compare(measured, then, tolerance_db or TOLERANCE_DB)


def _measured(facts: Mapping[str, Any], levels: Sequence[float]) -> Measured | None:
    occasion = Occasion(facts["meter"] or None, facts["spot"] or None, facts["track"] or None)
    measured = mean_and_uncertainty(levels, facts["meter_class"] or None, occasion=occasion)
    if facts["background_db"] is None:
        return measured
    return without_background(measured, facts["background_db"])


def drifts_of(zones: Iterable[Zone]) -> dict[int, ZoneDrift]:
    """Return the drift of every zone by its id, against its site's newest baseline. Two queries."""
    zones = list(zones)
    baselines, readings = newest_baselines({zone.site_id for zone in zones}), newest_readings(zones)
    return {zone.pk: drift_of(zone, baselines.get(zone.site_id), readings.get(zone.pk)) for zone in zones}


def drift_of(zone: Zone, baseline: Baseline | None, reading: Reading | None) -> ZoneDrift:
    """Return the drift of a zone, by its newest reading, against its site's newest baseline."""
    frozen = baseline.content["zones"].get(zone.name) if baseline else None
    return zone_drift(since_baseline(reading, frozen), frozen, zone.tolerance_db)


def since_baseline(reading: Reading | None, frozen: Mapping[str, Any] | None) -> Reading | None:
    """Leave out the reading that the baseline was made of: it proves nothing about the time since."""
    if reading is None or frozen is None or frozen["taken_at"] is None:
        return reading
    return None if reading.taken_at.isoformat() == frozen["taken_at"] else reading


def refresh_drift(zones: QuerySet[Zone]) -> None:
    """Compute the drift of these zones again and store what changed."""
    # Where there is no baseline nothing can have drifted; a survey brings thousands of such zones.
    may_differ = Q(site__in=Baseline.objects.values("site")) | ~Q(drift=Drift.NO_BASELINE)
    found = list(zones.filter(may_differ).select_related("site"))
    drifts = drifts_of(found)
    changed = []
    for zone in found:
        drift = drifts[zone.pk]
        if (zone.drift, zone.drift_db) != (drift.verdict, drift.drift_db):
            zone.drift, zone.drift_db = drift.verdict, drift.drift_db
            changed.append(zone)
    Zone.objects.bulk_update(changed, ["drift", "drift_db"], batch_size=500)
