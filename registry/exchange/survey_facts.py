"""Settings and levels of a survey: facts with a time, which stay as they were recorded."""

from datetime import UTC, datetime, timedelta
from typing import Any

from registry.baselines.actions import record_readings
from registry.equipment.actions import record_settings
from registry.equipment.models import Placement
from registry.exchange.folder import Row
from registry.exchange.survey import Survey, picked
from registry.exchange.survey_format import EQUIPMENT, LEVELS, READING_FACTS, SETTINGS, ZONES
from sites.clock import local_moment
from sites.models import Site
from sites.put import Key


def import_settings(survey: Survey) -> None:
    """Configuration records: the rows of one place, state and time together."""
    records: dict[Key, tuple[Row, dict[str, Any]]] = {}
    for row, site in survey.sited(SETTINGS):
        place, known = survey.refer(row, "place", "place", (site.pk, row["place"]), EQUIPMENT.name)
        moment = _moment(survey, row, site)
        if not known or moment is None:
            continue
        key = (place.pk, row["state"], moment)
        record = records.setdefault(key, (row, {"settings": {}}))[1]
        if row["key"] in record["settings"]:
            survey.fail(row, "key", "each key once for a place, state and time")
        record["settings"][row["key"]] = (row["value"] or "", row["unit"] or "")
        survey.rows[("setting", (*key, row["key"]))] = row
    items = dict(
        Placement.objects.filter(place_id__in={key[0] for key in records}, current=True).values_list("place", "item")
    )
    for key, (_, record) in records.items():
        record["item_id"] = items.get(key[0])
    survey.put("configuration record", record_settings, records)


def import_levels(survey: Survey) -> None:
    """Readings by zone, state and time."""
    rows: dict[Key, tuple[Row, dict[str, Any]]] = {}
    for row, site in survey.sited(LEVELS):
        zone, known = survey.refer(row, "zone", "zone", (site.pk, row["zone"]), ZONES.name)
        moment = _moment(survey, row, site)
        if not known or moment is None:
            continue
        values = {"zone_id": zone.pk, "state": row["state"], "taken_at": moment}
        key = (zone.pk, row["state"], moment)
        first = rows.setdefault(key, (row, values | picked(row, ("dial", "cap", "level_db", *READING_FACTS))))[0]
        if first is not row:
            survey.fail(row, "taken_at", f"given once; line {first.line} is at the same time")
    survey.put("reading", record_readings, rows)


def _moment(survey: Survey, row: Row, site: Site) -> datetime | None:
    """Return the row's time in UTC; a local time that clocks skip or show twice is a fault, never a guess."""
    try:
        moment = local_moment(row["taken_at"], site.zone_info)
    except ValueError as error:
        survey.fail(row, "taken_at", str(error))
        return None
    if moment > datetime.now(UTC) + timedelta(days=1):
        survey.fail(row, "taken_at", "a time that is not in the future")
        return None
    return moment
