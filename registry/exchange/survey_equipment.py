"""The catalogue of a survey, and its places with the items that fill them."""

from datetime import date
from typing import Any

from registry.equipment import actions, filling
from registry.equipment.models import Item, Kind, MakeModel, Place
from registry.exchange.folder import Row
from registry.exchange.survey import Survey, picked
from registry.exchange.survey_format import (
    EQUIPMENT,
    LOUDSPEAKERS,
    MODEL_FACTS,
    MODELS,
    RACKS,
    RATING_FACTS,
    RATINGS,
    SPEC_FACTS,
)
from sites.models import Site
from sites.put import Key

WHAT = "make model"


def import_models(survey: Survey) -> None:
    """Catalogue entries; a loudspeaker that stands in loudspeakers.csv alone is made from its row."""
    makes = {row["make"] for rows in survey.tables.values() for row in rows if row["make"]}
    known = MakeModel.objects.filter(make__name__in=makes).select_related("make")
    survey.know(WHAT, known, lambda model: (model.make.name, model.name))
    listed = {_key(row): (row, _facts(row)) for row in survey.tables[MODELS.name]}
    alone = {
        _key(row): (row, {"name": row["model"], "kind": Kind.LOUDSPEAKER})
        for row in survey.tables[LOUDSPEAKERS.name]
        if _key(row) not in listed and _key(row) not in survey.objects[WHAT]
    }
    rows = listed | alone
    for key, model in survey.put(WHAT, actions.put_models, rows).items():
        survey.rows[(WHAT, (model.make_id, model.name))] = rows[key][0]
    survey.declared[MODELS.name].update(alone)


def _key(row: Row) -> Key:
    return (row["make"], row["model"])


def _facts(row: Row) -> dict[str, Any]:
    return {"name": row["model"], "kind": row["kind"]} | picked(row, MODEL_FACTS)


def import_ratings(survey: Survey) -> None:
    """What makers rate for an amplifier's channels: each row one load or one line voltage."""
    rows = {}
    for row in survey.tables[RATINGS.name]:
        model, known = survey.refer(row, "model", WHAT, _key(row), MODELS.name)
        if (row["load_ohm"] is None) == (row["line_v"] is None):
            survey.fail(row, "load_ohm", "either load_ohm or line_v, not both and not none: a row rates one load")
        elif row["power_w"] is None:
            survey.fail(row, "power_w", "a value: a rating without power rates nothing")
        elif known:
            values = {"make_model_id": model.pk} | picked(row, RATING_FACTS)
            rows[(model.pk, row["load_ohm"], row["line_v"])] = (row, values)
    survey.put("rating", actions.put_ratings, rows)


def import_loudspeakers(survey: Survey) -> None:
    """What makers say of loudspeakers."""
    rows = {}
    for row in survey.tables[LOUDSPEAKERS.name]:
        model, known = survey.refer(row, "model", WHAT, _key(row), MODELS.name)
        if known:
            facts = picked(row, (*SPEC_FACTS, "taps_w", "insertion_loss_db"))
            rows[(model.pk,)] = (row, {"make_model_id": model.pk} | facts)
    survey.put("loudspeaker spec", actions.put_loudspeaker_specs, rows)


def import_equipment(survey: Survey) -> None:
    """Places, items, who fills which place since when, and the rack units that takes."""
    known = Place.objects.filter(site__in=survey.sites.values())
    survey.know("place", known, lambda place: (place.site_id, place.name))
    usable = [(row, site, *found) for row, site in survey.sited(EQUIPMENT) if (found := _references(survey, row, site))]
    places = survey.put(
        "place", filling.put_places, {(s.pk, row["place"]): (row, _place(row, s, rack)) for row, s, _, rack in usable}
    )
    items: dict[Key, tuple[Row, dict[str, Any]]] = {}
    for row, site, model, _ in usable:
        items.setdefault((site.pk, row["tag"]), (row, _item(row, site, model)))
    written = survey.put("item", filling.put_items, items)
    if places and written:
        _fill(survey, usable, places, written)


def _references(survey: Survey, row: Row, site: Site) -> tuple[MakeModel, Any] | None:
    model, model_known = survey.refer(row, "model", WHAT, _key(row), MODELS.name)
    rack, rack_known = survey.refer(row, "rack", "rack", (site.pk, row["rack"]), RACKS.name)
    if row["position_u"] is not None and row["rack"] is None:
        survey.fail(row, "position_u", "a rack for this position, or no position")
        return None
    if row["position_u"] == 0:
        survey.fail(row, "position_u", "1 or more: units count from the bottom, and the lowest is 1")
        return None
    if row["installed_on"] and row["warranty_until"] and row["warranty_until"] < row["installed_on"]:
        survey.fail(row, "warranty_until", f"a day not before installed_on {row['installed_on']}")
        return None
    return (model, rack) if model_known and rack_known else None


def _place(row: Row, site: Site, rack: Any) -> dict[str, Any]:
    facts = picked(row, ("position_u", "ip", "hostname", "switch", "port", "face"))
    return {"site_id": site.pk, "name": row["place"], "rack_id": rack and rack.pk} | facts


def _item(row: Row, site: Site, model: MakeModel) -> dict[str, Any]:
    values = {"site_id": site.pk, "tag": row["tag"], "make_id": model.make_id, "make_model_id": model.pk}
    return values | picked(row, ("serial", "mac", "warranty_until", "status"))


def _fill(survey: Survey, usable: list[Any], places: dict[Key, Place], items: dict[Key, Item]) -> None:
    filled: dict[Key, tuple[Place, Item, date | None]] = {}
    for row, site, _, _ in usable:
        place, item = places.get((site.pk, row["place"])), items.get((site.pk, row["tag"]))
        if place and item:
            filled[(place.pk, item.pk)] = (place, item, row["installed_on"])
            survey.rows[("placement", (place.pk, item.pk))] = row
    survey.run(lambda: filling.fill_places(survey.batch, filled), {"item": "tag"})
    survey.run(lambda: filling.occupy_units({place.rack_id for place in places.values() if place.rack_id}))
