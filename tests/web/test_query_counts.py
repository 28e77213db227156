"""A page costs the same number of queries with one row as with three."""

from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Drift, Verdict
from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    ItemFactory,
    LineFactory,
    MakeModelFactory,
    PlacementFactory,
    RackFactory,
    ReadingFactory,
    SettingFactory,
    SiteFactory,
    SpaceFactory,
    ZoneFactory,
)
from registry.equipment.models import Item, Place
from sites.models import Rack, Site, User
from tests.web.pages import queries_of
from tests.web.visit_plans.conftest import plan_at


def full_site(site: Site, number: int) -> Rack:
    """Give a site one more of everything that its page shows."""
    SpaceFactory(site=site)
    rack = RackFactory(site=site, height_u=20)
    for unit in (1, 4):
        place = FilledPlaceFactory(site=site, rack=rack, position_u=unit)
        LineFactory(site=site, amplifier=place, verdict=Verdict.FAIL)
    ReadingFactory(zone=ZoneFactory(site=site, spot="", drift=Drift.OUT, drift_db=5.0), spot="")
    return rack


def grown(browser: Browser, url: str, add: Callable[[int], object]) -> tuple[int, int]:
    """Return what a page costs with one row and with three."""
    add(1)
    first = queries_of(browser, url)
    add(2)
    add(3)
    return first, queries_of(browser, url)


@pytest.mark.parametrize("export", ["", "?export=csv", "?export=xlsx"])
def test_clients_and_sites(browser: Browser, export: str) -> None:
    first, third = grown(browser, reverse("clients") + export, lambda number: full_site(SiteFactory(), number))
    assert first == third
    first, third = grown(browser, reverse("sites") + export, lambda number: full_site(SiteFactory(), number))
    assert first == third


def test_a_client(browser: Browser, site: Site, tech: User) -> None:
    url = reverse("client", args=[site.client.pk])

    def add(number: int) -> None:
        full_site(SiteFactory(client=site.client), number)
        plan_at(site, tech, name=f"Check {number}")

    first, third = grown(browser, url, add)
    assert first == third


@pytest.mark.parametrize("frozen", [False, True])
def test_a_site(browser: Browser, site: Site, frozen: bool) -> None:
    def add(number: int) -> None:
        full_site(site, number)
        if frozen:
            BaselineFactory(site=site)
            ReadingFactory(zone=site.zones.first(), spot="")

    first, third = grown(browser, reverse("site", args=[site.code]), add)
    assert first == third


def test_a_rack(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, height_u=20)
    url = reverse("rack", args=[rack.pk])
    first, third = grown(browser, url, lambda number: FilledPlaceFactory(site=site, rack=rack, position_u=number * 2))
    assert first == third


@pytest.mark.parametrize("export", ["", "?export=csv", "?export=xlsx"])
def test_equipment(browser: Browser, site: Site, export: str) -> None:
    rack = RackFactory(site=site, height_u=20)
    first, third = grown(
        browser,
        reverse("equipment") + export,
        lambda number: FilledPlaceFactory(site=site, rack=rack, position_u=number * 2),
    )
    assert first == third


@pytest.mark.parametrize("export", ["", "?export=csv", "?export=xlsx"])
def test_models(browser: Browser, export: str) -> None:
    first, third = grown(browser, reverse("models") + export, lambda number: MakeModelFactory())
    assert first == third


def test_a_model(browser: Browser) -> None:
    model = MakeModelFactory()
    first, third = grown(
        browser, reverse("model", args=[model.pk]), lambda number: PlacementFactory(item__make_model=model)
    )
    assert first == third


def recorded(place: Place, item: Item) -> None:
    record = ConfigurationRecordFactory(place=place, item=item)
    SettingFactory(record=record, key="volume")
    SettingFactory(record=record, key=f"trim {record.pk}")
    PlacementFactory(place=place, current=False)
    PlacementFactory(item=item, place__site=place.site, current=False)


def test_an_item_and_a_place(browser: Browser, site: Site) -> None:
    for name in ("item", "place"):
        place = FilledPlaceFactory(site=site)
        item = place.placements.get(current=True).item
        url = reverse(name, args=[item.pk if name == "item" else place.pk])
        first, third = grown(browser, url, lambda number, place=place, item=item: recorded(place, item))
        assert first == third, name


def test_today(browser: Browser) -> None:
    first, third = grown(browser, reverse("today"), lambda number: full_site(SiteFactory(), number))
    assert first == third


def test_a_search(browser: Browser) -> None:
    def add(number: int) -> None:
        site = SiteFactory(name=f"Mill {number}", client__name=f"Mill {number}")
        place = FilledPlaceFactory(site=site, name=f"Mill {number}")
        ItemFactory(site=site, tag=f"Mill {number}")
        LineFactory(site=site, amplifier=place, name=f"Mill {number}")
        ZoneFactory(site=site, name=f"Mill {number}")

    first, third = grown(browser, reverse("search") + "?q=mill", add)
    assert third == first - 1, "what only holds it isn't asked for any more"
