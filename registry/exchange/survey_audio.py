"""Zones, lines, loudspeakers and coils of a survey."""

from typing import Any

from registry.audio import actions
from registry.audio.models import Zone
from registry.exchange.folder import Row
from registry.exchange.survey import Survey, picked
from registry.exchange.survey_equipment import WHAT
from registry.exchange.survey_format import EQUIPMENT, LINES, MODELS, SPACES, ZONES
from sites.models import Site
from sites.put import Key

Keyed = dict[Key, tuple[Row, dict[str, Any]]]


def import_zones(survey: Survey) -> None:
    """Zones by site and name."""
    known = Zone.objects.filter(site__in=survey.sites.values())
    survey.know("zone", known, lambda zone: (zone.site_id, zone.name))
    rows: Keyed = {}
    for row, site in survey.sited(ZONES):
        space, found = survey.refer(row, "space", "space", (site.pk, row["space"]), SPACES.name)
        if found:
            facts = picked(row, ("source", "spot", "default_position", "tolerance_db"))
            values = {"site_id": site.pk, "name": row["zone"], "space_id": space and space.pk}
            rows[(site.pk, row["zone"])] = (row, values | facts)
    survey.put("zone", actions.put_zones, rows)


def import_lines(survey: Survey) -> None:
    """Each row is one connected coil; what it says of its line and its loudspeaker agrees with the other rows."""
    usable = [(row, site, *found) for row, site in survey.sited(LINES) if (found := _references(survey, row, site))]
    lines: Keyed = {}
    loudspeakers: Keyed = {}
    for row, site, amplifier, model, zone in usable:
        line = {"site_id": site.pk, "name": row["line"], "amplifier_id": amplifier.pk}
        _agree(survey, lines, (site.pk, row["line"]), row, line | picked(row, ("channel", "life_safety", "kind")))
        unit = {"site_id": site.pk, "label": row["loudspeaker"], "make_model_id": model.pk, "zone_id": zone.pk}
        _agree(survey, loudspeakers, (site.pk, row["loudspeaker"]), row, unit)
    written = survey.put("line", actions.put_lines, lines)
    units = survey.put("loudspeaker", actions.put_loudspeakers, loudspeakers)
    if written and units:
        _connect(
            survey,
            [(row, written[(site.pk, row["line"])], units[(site.pk, row["loudspeaker"])]) for row, site, *_ in usable],
        )


def _references(survey: Survey, row: Row, site: Site) -> tuple[Any, Any, Any] | None:
    amplifier, first = survey.refer(row, "amplifier", "place", (site.pk, row["amplifier"]), EQUIPMENT.name)
    model, second = survey.refer(row, "model", WHAT, (row["make"], row["model"]), MODELS.name)
    zone, third = survey.refer(row, "zone", "zone", (site.pk, row["zone"]), ZONES.name)
    if row["order"] == 0:
        survey.fail(row, "order", "1 or more")
        return None
    return (amplifier, model, zone) if first and second and third else None


COLUMNS = {"amplifier_id": "amplifier", "make_model_id": "model", "zone_id": "zone"}


def _agree(survey: Survey, rows: Keyed, key: Key, row: Row, values: dict[str, Any]) -> None:
    first, known = rows.setdefault(key, (row, values))
    for name, value in values.items():
        if known[name] != value:
            column = COLUMNS.get(name, name)
            survey.fail(row, column, f"the same as in line {first.line}: {first[column] or 'empty'}")


def _connect(survey: Survey, usable: list[tuple[Row, Any, Any]]) -> None:
    rows: Keyed = {}
    for row, line, unit in usable:
        facts = picked(row, ("coil", "string", "order", "tap_w", "plus", "minus", "cable", "cable_m"))
        rows[(unit.pk, row["coil"])] = (row, {"loudspeaker_id": unit.pk, "line_id": line.pk} | facts)
    survey.put("coil", actions.connect_coils, rows)
