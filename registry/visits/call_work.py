"""Work for a call: the visit that is sent, and what is read while the caller is on the phone or a tech is there."""

from collections.abc import Iterable, Mapping
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
from registry.visits.calling import open_call, saved_call
from registry.visits.models import CallReading, ServiceCall, TaskKind, Visit, VisitKind, VisitTask
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.scheduling import schedule_visit
from registry.visits.under_way import clock, happened
from registry.visits.working import begin_visit
from sites.models import User
from sites.put import Batch, Key

Values = Mapping[str, Any]
MOST_IN_TITLE = 80


@transaction.atomic
def send_visit(
    *,
    by: User,
    call: ServiceCall,
    starts_at: datetime,
    minutes: int = 60,
    tech: User | None = None,
    begin: bool = False,
) -> Visit:
    """Make the visit of a call, with a level to read in each of its zones; `begin` starts it now.

    The visit that it has already is returned. Raises ValueError when the call is closed, or its visit was closed.
    """
    call = open_call(call)
    if (visit := call.visit) is not None and not visit.called_off_because:
        if visit.closed_at is not None:
            ended = clock(call.site, visit.closed_at)
            raise ValueError(f"the visit of this call was closed on {ended}: schedule another on the site's page")
    else:
        visit = schedule_visit(
            by=by,
            site=call.site,
            title=f"Call: {' '.join(call.says.split())[:MOST_IN_TITLE]}",
            starts_at=starts_at,
            minutes=minutes,
            tech=tech,
            kind=VisitKind.CALL,
        )
        _add_levels(by, visit, call.zones.all() or Zone.objects.filter(site=call.site))
        call.visit = visit
        saved_call(call, by)
    return begin_visit(by=by, visit=visit) if begin else visit


def _add_levels(by: User, visit: Visit, zones: Iterable[Zone]) -> None:
    known = set(visit.tasks.filter(kind=TaskKind.LEVELS).values_list("zone", flat=True))
    for zone in zones:
        if zone.pk not in known:
            task = VisitTask(visit=visit, kind=TaskKind.LEVELS, zone=zone)
            task._history_user = by  # type: ignore[attr-defined]
            task.save()


@transaction.atomic
def read_for_call(*, by: User, call: ServiceCall, zone: Zone, values: Values, at: datetime | None = None) -> Reading:
    """Record the level of a zone as found, as evidence of the call; while its visit is under way it is of that too.

    Raises ValueError when the call is closed, or the zone is of another site.
    """
    call = open_call(call)
    if zone.site_id != call.site_id:
        raise ValueError(f"zone {zone.name} is not of this call's site")
    if (visit := _under_way(call)) is not None:
        read = record_visit_reading(by=by, visit=visit, zone=zone, state=State.AS_FOUND, values=values, at=at)
    else:
        key: Key = (zone.pk, State.AS_FOUND, happened(at))
        row = {"spot": zone.spot, **values, "zone_id": zone.pk, "state": key[1], "taken_at": key[2]}
        read = record_readings(Batch(by=by), {key: row})[key]
    CallReading.objects.get_or_create(reading=read, defaults={"call": call})
    return read


@transaction.atomic
def measure_for_call(
    *, by: User, call: ServiceCall, line: Line, values: Values, at: datetime | None = None
) -> LineMeasurement:
    """Record the impedance of a line, as evidence of the call; ValueError also where life safety keeps hands off it."""
    call = open_call(call)
    if line.site_id != call.site_id:
        raise ValueError(f"line {line.name} is not of this call's site")
    if (visit := _under_way(call)) is not None:
        measured = record_visit_measurement(by=by, visit=visit, line=line, values=values, at=at)
    elif excluded := excluded_at(call.site).get((Subject.LINE, line.pk)):
        raise ValueError(excluded)
    else:
        measured = measure_line(by=by, line=line, values=values, at=happened(at), key=line.name)
    CallReading.objects.get_or_create(measurement=measured, defaults={"call": call})
    return measured


def _under_way(call: ServiceCall) -> Visit | None:
    visit = call.visit
    return visit if visit is not None and visit.is_open and visit.begun_at is not None else None
