"""A zone's readings over time, with the baselines that held, as a chart."""

from collections.abc import Iterable
from typing import Final

from registry.audio.models import TOLERANCE_DB, Zone
from registry.baselines.models import Baseline, Reading
from registry.drawings.history_chart import HistoryBaseline, HistoryReading, LevelHistory
from registry.drawings.marks import WorkState
from registry.engineering.measure import mean_and_uncertainty
from registry.equipment.models import State

MOST_READINGS: Final = 200
STATES: dict[str, WorkState] = {State.AS_FOUND: "as found", State.AS_LEFT: "as left"}


def history_of(zone: Zone, readings: Iterable[Reading], baselines: Iterable[Baseline]) -> LevelHistory:
    """Return a zone's readings and its level in each of its site's baselines, which come from the oldest on."""
    return LevelHistory(
        title=f"Level of {zone.name} over time",
        readings=tuple(_reading(zone, reading) for reading in readings),
        baselines=tuple(found for each in baselines if (found := _baseline(zone, each))),
    )


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
