"""What was measured at a visit, judged against the baseline that held when it began."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from registry.audio.models import Drift, Zone
from registry.baselines.judged import Judged, judged
from registry.baselines.models import Baseline, Reading
from registry.equipment.models import State
from registry.planning.models import LineMeasurement
from registry.visits.models import Visit


@dataclass(frozen=True)
class ZoneAtVisit:
    """A zone as it was found and left at a visit, against its entry in the baseline."""

    zone: Zone
    frozen: dict[str, Any] | None
    found: Judged | None
    left: Judged | None

    @property
    def last(self) -> Judged | None:
        """How it stands at the end."""
        return self.left or self.found

    @property
    def is_out(self) -> bool:
        """Whether it is out of tolerance at the end."""
        return self.last is not None and self.last.drift.verdict == Drift.OUT


def baseline_at(visit: Visit) -> Baseline | None:
    """Return the baseline that a visit is judged against: the newest when it began. One query."""
    at = visit.begun_at or visit.closed_at or timezone.now()
    return Baseline.objects.filter(site=visit.site_id, frozen_at__lte=at).order_by("-number").first()


def zones_at(visit: Visit, baseline: Baseline | None, zones: Iterable[Zone] = ()) -> dict[int, ZoneAtVisit]:
    """Return the zones that were read at a visit, and those asked for, by id. Two queries, one more per correction."""
    readings = readings_at(visit)
    wanted = {zone.pk: zone for zone in zones} | {reading.zone_id: reading.zone for reading in readings}
    frozen = baseline.content["zones"] if baseline else {}
    found: dict[int, ZoneAtVisit] = {}
    for zone in sorted(wanted.values(), key=lambda each: each.name):
        newest = {state: _newest(readings, zone, state) for state in State}
        entry = frozen.get(zone.name)
        as_found, as_left = (judged(zone, entry, newest[state]) for state in (State.AS_FOUND, State.AS_LEFT))
        found[zone.pk] = ZoneAtVisit(zone, entry, as_found, as_left)
    return found


def _newest(readings: Iterable[Reading], zone: Zone, state: State) -> Reading | None:
    mine = [reading for reading in readings if (reading.zone_id, reading.state) == (zone.pk, state)]
    return max(mine, key=lambda each: (each.taken_at, each.pk), default=None)


def readings_at(visit: Visit) -> list[Reading]:
    """Return the levels that were read at a visit, each as it was corrected since."""
    return as_corrected(Reading.objects.filter(visitreading__visit=visit))


def as_corrected(readings: QuerySet[Reading]) -> list[Reading]:
    """Return these levels, each as it was corrected since. One query, one more per correction of a correction."""
    related = Reading.objects.select_related("zone__site", "recorded_by", "replaces")
    rows = {row.pk: row for row in related.filter(pk__in=readings.values("pk"))}
    newest = dict(rows)
    while newest := {row.pk: row for row in related.filter(replaces__in=newest)}:
        rows = {
            pk: row for pk, row in rows.items() if pk not in {each.replaces_id for each in newest.values()}
        } | newest
    return list(rows.values())


def measurements_at(visit: Visit) -> dict[int, LineMeasurement]:
    """Return the last impedance of every line that was measured at a visit, by the line's id. One query."""
    rows = LineMeasurement.objects.filter(visitreading__visit=visit, correction__isnull=True)
    found = rows.select_related("line", "recorded_by").order_by("taken_at", "pk")
    return {row.line_id: row for row in found}
