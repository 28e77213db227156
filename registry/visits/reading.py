"""Writes of what is measured at a visit: levels as found and as left, impedances at the terminals."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from registry.audio.models import Line, Zone
from registry.baselines.actions import record_readings
from registry.baselines.models import Reading
from registry.equipment.models import State
from registry.planning.measuring import excluded_at, measure_line
from registry.planning.models import LineMeasurement
from registry.planning.sequence import Subject
from registry.visits.answering import answer_impedance, answer_level
from registry.visits.models import Visit, VisitReading
from registry.visits.under_way import happened, under_way
from sites.models import User
from sites.put import Batch, Key, refuse

Values = Mapping[str, Any]


@transaction.atomic
def record_visit_reading(
    *, by: User, visit: Visit, zone: Zone, state: str, values: Values, at: datetime | None = None
) -> Reading:
    """Record a zone's level (columns of Reading in `values`), which answers its task. The same again changes nothing.

    Raises ValueError when the visit is not under way, the zone is of another site, another value is recorded for the
    same time, or as found comes after as left: that is locked.
    """
    visit = under_way(visit)
    if zone.site_id != visit.site_id:
        raise ValueError(f"zone {zone.name} is not of this visit's site")
    key: Key = (zone.pk, State(state), happened(at, visit))
    again = visit.readings.filter(
        reading__zone=zone, reading__state=key[1], reading__taken_at=key[2], reading__replaces__isnull=True
    )
    if key[1] == State.AS_FOUND and as_found_is_locked(visit, zone) and not again.exists():
        raise refuse("reading", key, "state", f"As found is locked: {zone.name} was already read as left.")
    row = {"spot": zone.spot, **values, "zone_id": zone.pk, "state": key[1], "taken_at": key[2]}
    reading = record_readings(Batch(by=by), {key: row})[key]
    kept, is_new = VisitReading.objects.get_or_create(reading=reading, defaults={"visit": visit})
    if kept.visit_id != visit.pk:
        raise refuse("reading", key, "level_db", "This reading was recorded at another visit.")
    if is_new:
        answer_level(by=by, visit=visit, zone=zone, at=key[2])
    return reading


def as_found_is_locked(visit: Visit, zone: Zone) -> bool:
    """Whether a zone is no longer as it was found: it was read as left."""
    return visit.readings.filter(reading__zone=zone, reading__state=State.AS_LEFT).exists()


@transaction.atomic
def record_visit_measurement(
    *,
    by: User,
    visit: Visit,
    line: Line,
    values: Values,
    corrects: bool = False,
    at: datetime | None = None,
) -> LineMeasurement:
    """Record the impedance of a line: `impedance_ohm`, `frequency_hz`, `is_open`. It answers the line's task.

    The same one again changes nothing. `corrects`: the last one of this visit was typed wrongly; it stays readable and
    no longer counts.
    Raises ValueError when the visit is not under way, the line is of another site, or life safety keeps hands off it.
    """
    visit = under_way(visit)
    if line.site_id != visit.site_id:
        raise ValueError(f"line {line.name} is not of this visit's site")
    if excluded := excluded_at(visit.site).get((Subject.LINE, line.pk)):
        raise ValueError(excluded)
    when = happened(at, visit)
    before = measured_at(visit, line)
    if before is not None and _is_the_same(before, values, when if at else None):
        return before
    replaces = before if corrects else None
    measurement = measure_line(by=by, line=line, values=values, at=when, key=line.name, replaces=replaces)
    VisitReading.objects.create(visit=visit, measurement=measurement)
    answer_impedance(by=by, visit=visit, measured=measured_at(visit, line) or measurement)
    return measurement


def measured_at(visit: Visit, line: Line) -> LineMeasurement | None:
    """Return the last impedance of a line that was measured at a visit and not corrected."""
    found = LineMeasurement.objects.filter(line=line, visitreading__visit=visit, correction__isnull=True)
    return found.order_by("-taken_at", "-pk").first()


def _is_the_same(before: LineMeasurement, values: Values, at: datetime | None) -> bool:
    same = all(getattr(before, name) == values[name] for name in ("impedance_ohm", "frequency_hz"))
    return at == before.taken_at and same and before.is_open == bool(values["is_open"])
