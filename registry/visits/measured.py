"""What was measured at a visit, judged against the baseline that held when it began."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from django.utils import timezone

from registry.audio.models import Drift, Zone
from registry.baselines.judged import Judged, judged
from registry.baselines.models import Baseline, Reading
from registry.equipment.models import State
from registry.planning.models import LineMeasurement
from registry.visits.models import Visit

LEVEL: Final = (
    "zone__site",
    "recorded_by",
    "correction__zone__site",
    "correction__recorded_by",
    "correction__correction",
)
IMPEDANCE: Final = ("line", "recorded_by", "correction")


class MeasuredAtVisit(NamedTuple):
    """The levels that were read, each as it was corrected since; the last impedance of each line by the line's id."""

    levels: Sequence[Reading]
    impedances: Mapping[int, LineMeasurement]


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


def measured_at(visit: Visit) -> MeasuredAtVisit:
    """Return what was measured at a visit. One query, one more per correction of a correction."""
    joined = [*(f"reading__{each}" for each in LEVEL), *(f"measurement__{each}" for each in IMPEDANCE)]
    rows = list(visit.readings.select_related(*joined).order_by("-reading__taken_at", "-reading__pk"))
    levels = as_corrected(row.reading for row in rows if row.reading)
    measured = (row.measurement for row in rows if row.measurement and not hasattr(row.measurement, "correction"))
    in_order = sorted(measured, key=lambda each: (each.taken_at, each.pk))
    return MeasuredAtVisit(levels, {each.line_id: each for each in in_order})


def zones_at(
    levels: Iterable[Reading], baseline: Baseline | None, zones: Iterable[Zone] = ()
) -> dict[int, ZoneAtVisit]:
    """Return the zones that were read at a visit, and those asked for, by id."""
    levels = list(levels)
    wanted = {zone.pk: zone for zone in zones} | {reading.zone_id: reading.zone for reading in levels}
    frozen = baseline.content["zones"] if baseline else {}
    found: dict[int, ZoneAtVisit] = {}
    for zone in sorted(wanted.values(), key=lambda each: each.name):
        newest = {state: _newest(levels, zone, state) for state in State}
        entry = frozen.get(zone.name)
        as_found, as_left = (judged(zone, entry, newest[state]) for state in (State.AS_FOUND, State.AS_LEFT))
        found[zone.pk] = ZoneAtVisit(zone, entry, as_found, as_left)
    return found


def _newest(readings: Iterable[Reading], zone: Zone, state: State) -> Reading | None:
    mine = [reading for reading in readings if (reading.zone_id, reading.state) == (zone.pk, state)]
    return max(mine, key=lambda each: (each.taken_at, each.pk), default=None)


def as_corrected(readings: Iterable[Reading]) -> list[Reading]:
    """Return levels, each as it was corrected since; they came with `LEVEL` joined."""
    newest = {}
    for reading in readings:
        while hasattr(reading, "correction"):
            reading = reading.correction
        newest[reading.pk] = reading
    return list(newest.values())
