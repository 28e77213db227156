"""A zone's readings over time, with the baselines that held, as a chart."""

from collections.abc import Iterable, Sequence

from django.db.models import Window
from django.db.models.functions import RowNumber

from registry.audio.models import TOLERANCE_DB, Zone
from registry.baselines.models import Baseline, Reading
from registry.drawings.history_chart import HistoryBaseline, HistoryReading, LevelHistory
from registry.drawings.marks import WorkState
from registry.engineering.measure import mean_and_uncertainty
from registry.equipment.models import State

MOST_READINGS = 200
STATES: dict[str, WorkState] = {State.AS_FOUND: "as found", State.AS_LEFT: "as left"}


def history_of(zone: Zone) -> LevelHistory:
    """Return the newest readings of a zone, corrected ones left out, and its level in every baseline. Two queries."""
    return histories_of([zone])[zone.pk]


def histories_of(zones: Iterable[Zone], *, most: int = MOST_READINGS) -> dict[int, LevelHistory]:
    """Return the history of every zone by its id, each with its `most` newest readings. Two queries."""
    zones = list(zones)
    readings, baselines = _newest(zones, most), _baselines(zones)
    return {
        zone.pk: LevelHistory(
            title=f"Level of {zone.name} over time",
            readings=tuple(_reading(zone, reading) for reading in readings.get(zone.pk, ())),
            baselines=tuple(found for each in baselines.get(zone.site_id, ()) if (found := _baseline(zone, each))),
        )
        for zone in zones
    }


def _newest(zones: Sequence[Zone], most: int) -> dict[int, list[Reading]]:
    rank = Window(RowNumber(), partition_by="zone", order_by=("-taken_at", "-pk"))
    rows = Reading.objects.filter(zone__in=zones, correction__isnull=True).annotate(rank=rank).filter(rank__lte=most)
    found: dict[int, list[Reading]] = {}
    for reading in rows.order_by("-taken_at", "-pk"):
        found.setdefault(reading.zone_id, []).append(reading)
    return found


def _baselines(zones: Sequence[Zone]) -> dict[int, list[Baseline]]:
    found: dict[int, list[Baseline]] = {}
    for baseline in Baseline.objects.filter(site__in={zone.site_id for zone in zones}).order_by("number"):
        found.setdefault(baseline.site_id, []).append(baseline)
    return found


def _reading(zone: Zone, reading: Reading) -> HistoryReading:
    measured = mean_and_uncertainty([reading.level_db or 0.0], reading.meter_class or None)
    day = reading.taken_at.astimezone(zone.site.zone_info).date()
    return HistoryReading(day, measured.level_db, measured.expanded_db, STATES[reading.state])


def _baseline(zone: Zone, baseline: Baseline) -> HistoryBaseline | None:
    frozen = baseline.content["zones"].get(zone.name)
    if frozen is None or frozen["level_db"] is None:
        return None
    day = baseline.frozen_at.astimezone(zone.site.zone_info).date()
    tolerance = frozen["tolerance_db"] or TOLERANCE_DB
    return HistoryBaseline(day, frozen["level_db"], tolerance, str(baseline.number))
