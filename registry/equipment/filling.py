"""Places and the items that fill them over time: who is where, since when, in which rack units."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q

from registry.equipment.models import Item, OccupiedUnit, Place, Placement, Status
from registry.equipment.queries import item_in, with_items
from sites.models import Rack
from sites.put import Batch, Key, Problem, RefusedError, put

Rows = Mapping[Key, Mapping[str, Any]]


@transaction.atomic
def put_places(batch: Batch, rows: Rows) -> dict[Key, Place]:
    """Create or update places by (site id, name). Call `occupy_units` when their items are known."""
    known = Place.objects.filter(site_id__in={key[0] for key in rows})
    return put(batch, Place, rows, {(place.site_id, place.name): place for place in known})


@transaction.atomic
def put_items(batch: Batch, rows: Rows) -> dict[Key, Item]:
    """Create or update items by (site id, tag); a serial is unique within its make."""
    known = Item.objects.filter(site_id__in={key[0] for key in rows})
    existing = {(item.site_id, item.tag): item for item in known}
    _refuse_taken_serials(rows, existing)
    return put(batch, Item, rows, existing)


def _refuse_taken_serials(rows: Rows, existing: Mapping[Key, Item]) -> None:
    wanted: dict[tuple[int, str], Key] = {}
    problems = []
    for key, values in rows.items():
        if not values.get("serial"):
            continue
        first = wanted.setdefault((values["make_id"], values["serial"]), key)
        if first != key:
            problems.append(Problem("item", key, "serial", f"serial {values['serial']} is also given to {first[1]}"))
    mine = {item.pk for key, item in existing.items() if key in rows}
    for item in Item.objects.filter(serial__in={serial for _, serial in wanted}).exclude(pk__in=mine):
        if (item.make_id, item.serial) in wanted:
            key = wanted[(item.make_id, item.serial)]
            problems.append(Problem("item", key, "serial", f"serial {item.serial} of this make is already recorded"))
    if problems:
        raise RefusedError(problems)


@transaction.atomic
def fill_places(batch: Batch, rows: Mapping[Key, tuple[Place, Item, date | None]]) -> None:
    """Put each item in its place since a day (None: not known). Whoever was there before is closed, not lost."""
    _refuse_items_in_two_places(rows)
    places = {place.pk for place, _, _ in rows.values()}
    items = {item.pk for _, item, _ in rows.values()}
    current = list(
        Placement.objects.filter(Q(place__in=places) | Q(item__in=items), current=True).select_related("item", "place")
    )
    pairs = {(placement.place_id, placement.item_id): placement for placement in current}
    wanted = {
        (place.pk, item.pk): (key, since) for key, (place, item, since) in rows.items() if item.status != Status.REMOVED
    }
    leaving = [placement for pair, placement in pairs.items() if pair not in wanted]
    staying = {item for _, item in wanted}
    _close(batch, leaving, {place.pk: since for place, _, since in rows.values()}, staying)
    put(
        batch,
        Placement,
        {
            (place, item): {"place_id": place, "item_id": item, "installed_on": since}
            for (place, item), (_, since) in wanted.items()
        },
        pairs,
    )
    _remember_removed(batch, rows)


def _refuse_items_in_two_places(rows: Mapping[Key, tuple[Place, Item, date | None]]) -> None:
    first: dict[int, Place] = {}
    problems = []
    for key, (place, item, _) in rows.items():
        other = first.setdefault(item.pk, place)
        if other is not place:
            problems.append(Problem("placement", key, "item", f"{item.tag} is already put in {other.name}"))
    if problems:
        raise RefusedError(problems)


def _close(
    batch: Batch, leaving: list[Placement], since_by_place: Mapping[int, date | None], staying: set[int]
) -> None:
    """End placements; the last day is the newcomer's first, where that is known and not before the start."""
    rows = {}
    for placement in leaving:
        until = since_by_place.get(placement.place_id)
        known = until and (placement.installed_on is None or until >= placement.installed_on)
        rows[(placement.place_id, placement.item_id)] = {"current": False, "removed_on": until if known else None}
    put(batch, Placement, rows, {(placement.place_id, placement.item_id): placement for placement in leaving})
    replaced = {
        (item.site_id, item.tag): item
        for item in (placement.item for placement in leaving)
        if item.status == Status.IN_SERVICE and item.pk not in staying
    }
    put(batch, Item, {key: {"status": Status.REMOVED} for key in replaced}, replaced)


def _remember_removed(batch: Batch, rows: Mapping[Key, tuple[Place, Item, date | None]]) -> None:
    """An item that is recorded as removed still did its work somewhere: keep that as a closed placement."""
    removed = {
        (place.pk, item.pk): {"place_id": place.pk, "item_id": item.pk, "installed_on": since, "current": False}
        for place, item, since in rows.values()
        if item.status == Status.REMOVED
    }
    known = Placement.objects.filter(place__in={key[0] for key in removed}, current=False)
    put(batch, Placement, removed, {(placement.place_id, placement.item_id): placement for placement in known})


@transaction.atomic
def occupy_units(racks: Iterable[Rack | int]) -> None:
    """Write which rack units are taken, from the places and the height of the items in them; refuse collisions."""
    racks = list(racks)
    places = with_items(Place.objects.filter(rack__in=racks, position_u__isnull=False)).select_related("rack")
    taken: dict[tuple[int, int, str], Place] = {}
    problems: list[Problem] = []
    for place in places.order_by("pk"):
        if item := item_in(place):
            problems += _take(taken, place, item.make_model.rack_units or 1)
    if problems:
        raise RefusedError(problems)
    OccupiedUnit.objects.filter(rack__in=racks).delete()
    OccupiedUnit.objects.bulk_create(
        [OccupiedUnit(rack_id=rack, unit=unit, face=face, place=place) for (rack, unit, face), place in taken.items()],
        batch_size=500,
    )


def _take(taken: dict[tuple[int, int, str], Place], place: Place, units: int) -> list[Problem]:
    key = (place.site_id, place.name)
    assert place.rack is not None
    assert place.position_u is not None
    top = place.position_u + units - 1
    if top > place.rack.height_u:
        says = f"reaches unit {top}, but rack {place.rack} has {place.rack.height_u}"
        return [Problem("place", key, "position_u", says)]
    for unit in range(place.position_u, top + 1):
        other = taken.setdefault((place.rack_id or 0, unit, place.face), place)
        if other is not place:
            says = f"unit {unit} of rack {place.rack} is already taken by {other.name}"
            return [Problem("place", key, "position_u", says)]
    return []
