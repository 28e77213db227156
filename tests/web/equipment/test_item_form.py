"""Recording an item, moving it, and what follows: history, rack units, verdicts."""

from datetime import date
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line
from registry.demo.factories import (
    AmplifierModelFactory,
    CoilFactory,
    FilledPlaceFactory,
    ItemFactory,
    LineFactory,
    MakeModelFactory,
    PlaceFactory,
    RackFactory,
    RatingFactory,
)
from registry.equipment.models import Item, MakeModel, OccupiedUnit, Status
from sites.models import Site


def typed(model: MakeModel, **changes: Any) -> dict[str, Any]:
    start = {
        "tag": "NH-1",
        "make_model": model.pk,
        "serial": "",
        "mac": "",
        "warranty_until": "",
        "status": "in service",
        "place": "",
        "since": "",
    }
    return start | changes


def test_an_item_is_recorded_in_its_place(browser: Browser, site: Site) -> None:
    place, model = PlaceFactory(site=site, rack=RackFactory(site=site), position_u=3), MakeModelFactory(rack_units=2)
    form = typed(model, place=place.pk, since="2026-03-01", mac="0200.5E10.0001", warranty_until="2029-03-01")
    response = browser.post(reverse("item-new", args=[site.code]), form)
    item = Item.objects.get()
    assert response.headers["Location"] == reverse("item", args=[item.pk])
    assert (item.make, item.mac, item.warranty_until) == (model.make, "02:00:5e:10:00:01", date(2029, 3, 1))
    assert (item.placements.get().place, item.placements.get().installed_on) == (place, date(2026, 3, 1))
    assert sorted(OccupiedUnit.objects.values_list("unit", flat=True)) == [3, 4]


@pytest.mark.parametrize("mac", ["02:00:5e:10:00", "02:00:5e:10:00:0g", "0"])
def test_half_a_mac_address_is_refused_and_stays(browser: Browser, site: Site, mac: str) -> None:
    response = browser.post(reverse("item-new", args=[site.code]), typed(MakeModelFactory(), mac=mac))
    assert list(response.context["form"].errors) == ["mac"]
    assert f'value="{mac}"' in response.content.decode()


def test_a_tag_or_a_serial_that_is_taken_is_refused_beside_its_field(browser: Browser, site: Site) -> None:
    known = ItemFactory(site=site, tag="NH-1", serial="X1")
    new = reverse("item-new", args=[site.code])
    assert list(browser.post(new, typed(known.make_model)).context["form"].errors) == ["tag"]
    refused = browser.post(new, typed(known.make_model, tag="NH-2", serial="X1"))
    assert refused.context["form"].errors == {"serial": ["serial X1 of this make is already recorded"]}
    assert Item.objects.count() == 1


def test_an_item_that_moves_leaves_its_old_place_in_its_history(browser: Browser, site: Site) -> None:
    old, new = FilledPlaceFactory(site=site, name="Amplifier 1"), PlaceFactory(site=site, name="Amplifier 2")
    item = old.placements.get().item
    form = typed(item.make_model, tag=item.tag, serial=item.serial, place=new.pk, since="2026-03-01")
    assert browser.post(reverse("item-edit", args=[item.pk]), form).status_code == 302
    assert item.placements.get(current=True).place == new
    assert not old.placements.get().current


def test_whoever_was_in_the_place_is_closed_and_not_lost(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    before, newcomer = place.placements.get().item, ItemFactory(site=site)
    form = typed(newcomer.make_model, tag=newcomer.tag, serial=newcomer.serial, place=place.pk, since="2026-03-01")
    browser.post(reverse("item-edit", args=[newcomer.pk]), form)
    before.refresh_from_db()
    closed = before.placements.get()
    assert (closed.current, closed.removed_on, before.status) == (False, date(2026, 3, 1), Status.REMOVED)
    assert place.placements.get(current=True).item == newcomer


@pytest.mark.parametrize(("since", "removed_on"), [("2026-03-01", date(2026, 3, 1)), ("", None), ("2024-03-04", None)])
def test_an_item_that_is_taken_out_frees_its_units(
    browser: Browser, site: Site, since: str, removed_on: date | None
) -> None:
    place = FilledPlaceFactory(site=site, rack=RackFactory(site=site), position_u=3)
    item = place.placements.get().item
    form = typed(item.make_model, tag=item.tag, serial=item.serial, status="spare", since=since)
    browser.post(reverse("item-edit", args=[item.pk]), form)
    placement = item.placements.get()
    assert (placement.current, placement.removed_on) == (False, removed_on)
    assert not OccupiedUnit.objects.exists()


def test_an_item_that_is_removed_leaves_its_place_even_if_the_form_still_names_it(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    item = place.placements.get().item
    form = typed(
        item.make_model, tag=item.tag, serial=item.serial, status="removed", place=place.pk, since="2024-03-04"
    )
    browser.post(reverse("item-edit", args=[item.pk]), form)
    placement = item.placements.get()
    assert (placement.current, placement.installed_on, placement.removed_on) == (False, date(2024, 3, 4), None)


def test_units_that_are_taken_are_refused_and_nothing_is_written(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, name="Rack A")
    FilledPlaceFactory(site=site, rack=rack, position_u=4, name="Amplifier 1")
    wanted = PlaceFactory(site=site, rack=rack, position_u=3, name="Amplifier 2")
    form = typed(MakeModelFactory(rack_units=2), place=wanted.pk)
    response = browser.post(reverse("item-new", args=[site.code]), form)
    assert response.status_code == 422
    assert "unit 4 of rack Rack A is already taken by Amplifier" in str(response.context["form"].errors)
    assert Item.objects.count() == 1


def test_a_place_of_another_site_is_not_offered(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("item-new", args=[site.code]), typed(MakeModelFactory(), place=PlaceFactory().pk))
    assert list(response.context["form"].errors) == ["place"]


def test_another_amplifier_in_the_place_is_another_verdict(browser: Browser, site: Site) -> None:
    # Two times 8 Ω in parallel is 4 Ω: allowed by the factory's amplifier, not by one that allows 8 Ω and more.
    line = LineFactory(site=site)
    for _ in range(2):
        CoilFactory(line=line, cable="", cable_m=0.0)
    refresh_verdicts(Line.objects.all())
    line.refresh_from_db()
    assert line.verdict != "fail"
    weak = MakeModelFactory(kind="amplifier")
    RatingFactory(make_model=weak, load_ohm=8.0, power_w=40.0, min_load_ohm=8.0)
    browser.post(reverse("item-new", args=[site.code]), typed(weak, place=line.amplifier_id))
    line.refresh_from_db()
    assert line.verdict == "fail"


def test_the_form_begins_with_what_is_known(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    item = place.placements.get().item
    item.make_model = AmplifierModelFactory()
    page = browser.get(reverse("item-edit", args=[item.pk])).content.decode()
    assert f'<option value="{place.pk}" selected>' in page
    assert 'name="since" value="2024-03-04"' in page
