"""What the database itself refuses about equipment."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import IntegrityError, transaction

from registry.demo.factories import (
    FilledPlaceFactory,
    ItemFactory,
    PlaceFactory,
    PlacementFactory,
    RackFactory,
    RatingFactory,
)
from registry.equipment.models import OccupiedUnit

pytestmark = pytest.mark.django_db


def refused(build: Callable[..., object], /, **values: object) -> bool:
    try:
        with transaction.atomic():
            build(**values)
    except IntegrityError:
        return True
    return False


def test_one_place_per_rack_unit_and_face() -> None:
    rack = RackFactory()
    first, second = PlaceFactory(site=rack.site), PlaceFactory(site=rack.site)
    OccupiedUnit.objects.create(rack=rack, unit=3, face="front", place=first)
    assert refused(OccupiedUnit.objects.create, rack=rack, unit=3, face="front", place=second)
    assert not refused(OccupiedUnit.objects.create, rack=rack, unit=3, face="rear", place=second)


def test_no_item_in_two_places_and_no_place_with_two_items() -> None:
    placement = PlacementFactory()
    assert refused(PlacementFactory, item=placement.item, place=PlaceFactory(site=placement.place.site))
    assert refused(PlacementFactory, place=placement.place)


def test_dates_of_a_placement_are_in_order() -> None:
    place = PlaceFactory()
    days = {"installed_on": date(2026, 3, 1), "removed_on": date(2026, 2, 28), "current": False}
    assert refused(PlacementFactory, place=place, **days)
    assert refused(PlacementFactory, place=place, removed_on=date(2026, 3, 1), current=True)


def test_a_serial_is_unique_within_its_make_and_may_be_unknown() -> None:
    item = ItemFactory(serial="S1")
    assert refused(ItemFactory, make_model=item.make_model, make=item.make, serial="S1")
    assert not refused(ItemFactory, make_model=item.make_model, make=item.make, serial="")
    assert not refused(ItemFactory, make_model=item.make_model, make=item.make, serial="")


def test_a_tag_is_unique_in_a_site() -> None:
    item = ItemFactory(tag="AMP-1")
    assert refused(ItemFactory, site=item.site, tag="AMP-1")


def test_a_position_needs_a_rack() -> None:
    assert refused(PlaceFactory, position_u=3)


def test_a_rating_is_of_a_load_or_of_a_line_voltage() -> None:
    assert refused(RatingFactory, load_ohm=8.0, line_v=100.0)
    assert refused(RatingFactory, load_ohm=None, line_v=None)
    assert refused(RatingFactory, load_ohm=-8.0)


def test_a_filled_place_holds_an_item() -> None:
    place = FilledPlaceFactory()
    assert place.placements.get().current
