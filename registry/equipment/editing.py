"""Writes of one place, item or model from a form: what the form leaves empty is cleared.

`version` is the one that the writer saw (sites.versions); without it nobody is asked.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Model, QuerySet

from registry.equipment.actions import put_loudspeaker_specs, put_makes, put_ratings
from registry.equipment.filling import fill_places, occupy_units, put_items, put_places
from registry.equipment.models import Item, MakeModel, Place, Placement, Rating, Status
from sites.editing import refuse_taken
from sites.models import Rack, Site, User
from sites.put import Batch, Key, put, refuse
from sites.versions import check_version

Values = Mapping[str, Any]


@transaction.atomic
def save_place(*, by: User, site: Site, place: Place | None, values: Values, version: str | None = None) -> Place:
    """Record a place of a site, or change it; the rack units that its item takes follow."""
    check_version(place, version, values)
    refuse_taken(_others(Place.objects.filter(site=site), place), "place", "name", values["name"])
    key: Key = (site.pk, place.name if place else values["name"])
    _refuse_bad_position(key, values, site)
    before = place.rack if place else None
    batch = Batch(by=by, blank_clears=place is not None)
    made = put_places(batch, {key: {**values, "site_id": site.pk}})[key]
    occupy_units(_known(before, made.rack))
    return made


def _others(rows: QuerySet[Any], but: Model | None) -> QuerySet[Any]:
    return rows.exclude(pk=but.pk) if but else rows


def _refuse_bad_position(key: Key, values: Values, site: Site) -> None:
    rack, position = values.get("rack"), values.get("position_u")
    if rack is not None and rack.site_id != site.pk:
        raise refuse("place", key, "rack", f"rack {rack} belongs to another site")
    if position is None:
        return
    if rack is None:
        raise refuse("place", key, "rack", "a rack unit needs a rack: choose it, or clear the unit")
    if not 1 <= position <= rack.height_u:
        raise refuse("place", key, "position_u", f"rack {rack} has units 1 to {rack.height_u}, counted from the bottom")


@transaction.atomic
def save_item(
    *,
    by: User,
    site: Site,
    item: Item | None,
    values: Values,
    place: Place | None,
    since: date | None,
    version: str | None = None,
) -> Item:
    """Record an item or change it, and put it in its place since a day; without a place it leaves the one it fills."""
    check_version(item, version, {**values, "placements": (place, since)})
    refuse_taken(_others(Item.objects.filter(site=site), item), "item", "tag", values["tag"])
    key: Key = (site.pk, item.tag if item else values["tag"])
    if place is not None and place.site_id != site.pk:
        raise refuse("item", key, "place", f"place {place} belongs to another site")
    batch = Batch(by=by, blank_clears=item is not None)
    row = {**values, "site_id": site.pk, "make_id": values["make_model"].make_id}
    made = put_items(batch, {key: row})[key]
    left = place_of(made)
    if place is not None and made.status != Status.REMOVED:
        fill_places(batch, {key: (place, made, since)})
    elif left is not None:
        _leave(batch, made, since)
    occupy_units(_known(left.rack if left else None, place.rack if place else None))
    made.refresh_from_db()
    return made


def place_of(item: Item) -> Place | None:
    """Return the place that an item fills now."""
    now = Placement.objects.filter(item=item, current=True).select_related("place__rack").first()
    return now.place if now else None


def _leave(batch: Batch, item: Item, until: date | None) -> None:
    """End the item's placement. A form that still shows the first day there says nothing about the last one."""
    now = Placement.objects.get(item=item, current=True)
    known = until is not None and (now.installed_on is None or until > now.installed_on)
    key: Key = (now.place_id, item.pk)
    put(batch, Placement, {key: {"current": False, "removed_on": until if known else None}}, {key: now})


def _known(*racks: Rack | None) -> list[Rack]:
    return list({rack.pk: rack for rack in racks if rack is not None}.values())


@transaction.atomic
def save_model(
    *,
    by: User,
    model: MakeModel | None,
    values: Values,
    ratings: Sequence[Values] = (),
    loudspeaker: Values | None = None,
    version: str | None = None,
) -> MakeModel:
    """Record a catalogue entry or change it, with its ratings (those not given any more go) and loudspeaker data."""
    make = put_makes(Batch(by=by), {values["make"]})[values["make"]]
    check_version(model, version, {**values, "make": make, "ratings": ratings, "loudspeaker": loudspeaker})
    refuse_taken(_others(MakeModel.objects.filter(make=make), model), "model", "name", values["name"])
    batch = Batch(by=by, blank_clears=model is not None)
    key: Key = (model.pk if model else 0,)
    known = {key: MakeModel.objects.get(pk=model.pk)} if model else {}
    made = put(batch, MakeModel, {key: {**values, "make": make}}, known)[key]
    _replace_ratings(batch, made, ratings)
    if loudspeaker is not None:
        put_loudspeaker_specs(batch, {(made.pk,): {**loudspeaker, "make_model_id": made.pk}})
    _follow(batch, made)
    return made


def _follow(batch: Batch, model: MakeModel) -> None:
    """Carry a new make to the items, and a new height to the racks."""
    for item in model.items.exclude(make=model.make):
        put_items(batch, {(item.site_id, item.tag): {"make_id": model.make_id, "serial": item.serial}})
    filled = Placement.objects.filter(item__make_model=model, current=True, place__rack__isnull=False)
    occupy_units(Rack.objects.filter(pk__in=filled.values("place__rack")))


def _replace_ratings(batch: Batch, model: MakeModel, ratings: Sequence[Values]) -> None:
    rows = {(model.pk, row["load_ohm"], row["line_v"]): {**row, "make_model_id": model.pk} for row in ratings}
    if len(rows) < len(ratings):
        raise refuse(
            "rating", (model.pk,), "load_ohm", "each load and each line voltage is rated once: remove one of the two"
        )
    for rating in Rating.objects.filter(make_model=model):
        if (model.pk, rating.load_ohm, rating.line_v) not in rows:
            rating.delete()
    put_ratings(batch, rows)
