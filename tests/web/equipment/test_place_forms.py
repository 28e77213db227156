"""Recording places and the settings that were read there."""

from datetime import UTC, datetime
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import (
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    PlaceFactory,
    RackFactory,
    SettingFactory,
    SiteFactory,
)
from registry.equipment.models import ConfigurationRecord, OccupiedUnit, Place
from sites.models import Site, User
from tests.web.pages import text_of

NOW = datetime(2026, 7, 1, 12, 0, tzinfo=UTC)
PLACE = {"name": "Amplifier 2", "rack": "", "position_u": "", "face": "front", "ip": "", "hostname": ""}


def rows(*settings: tuple[str, str, str], **record: str) -> dict[str, Any]:
    """Return a settings form as a browser sends it."""
    form = {"state": "as left", "taken_at": "2026-07-01T10:30"} | record
    form |= {"form-TOTAL_FORMS": str(len(settings)), "form-INITIAL_FORMS": "0"}
    for number, (key, value, unit) in enumerate(settings):
        form |= {f"form-{number}-key": key, f"form-{number}-value": value, f"form-{number}-unit": unit}
    return form


def post(browser: Browser, place: Place, form: dict[str, Any]) -> Any:
    with time_machine.travel(NOW, tick=False):
        return browser.post(reverse("record-settings", args=[place.pk]), form)


def test_what_was_read_becomes_a_record_with_time_item_and_author(browser: Browser, site: Site, tech: User) -> None:
    place = FilledPlaceFactory(site=site)
    response = post(browser, place, rows(("volume", "40", "%"), ("bass", "", "dB"), ("input", "network", "")))
    assert response.headers["Location"] == reverse("place", args=[place.pk])
    record = ConfigurationRecord.objects.get()
    # 10:30 on the wall in London on 1 July is 9:30 UTC.
    assert record.taken_at == datetime(2026, 7, 1, 9, 30, tzinfo=UTC)
    assert (record.state, record.item, record.recorded_by) == ("as left", place.placements.get().item, tech)
    settings = {setting.key: (setting.value, setting.unit) for setting in record.settings.all()}
    assert settings == {"volume": ("40", "%"), "input": ("network", "")}


def test_the_form_asks_for_what_is_known_and_for_the_power_cut_test(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    SettingFactory(record=ConfigurationRecordFactory(place=place), key="volume", value="40", unit="%")
    page = browser.get(reverse("record-settings", args=[place.pk]))
    assert [row.initial for row in page.context["rows"] if row.initial] == [
        {"key": "power-cut test", "unit": ""},
        {"key": "volume", "unit": "%"},
    ]
    assert "before: 40 %" in text_of(page)


@pytest.mark.parametrize(
    ("form", "says"),
    [
        (rows(("volume", "", "%")), "type at least one value: a record without one says nothing"),
        (rows(("", "40", "%")), "name the setting, or clear its value"),
        (rows(("volume", "40", "%"), ("volume", "41", "%")), "'volume' stands in two rows: each setting once"),
        (rows(("volume", "40", "%"), taken_at="2026-07-01T13:06"), "this is in the future"),
        (
            rows(("volume", "40", "%"), taken_at="2026-03-29T01:30"),
            "couldn’t be interpreted in time zone Europe/London",
        ),
        (rows(("volume", "40", "%"), taken_at="yesterday"), "Enter a valid date/time."),
        (rows(("volume", "40", "%"), state="broken"), "Select a valid choice."),
    ],
)
def test_what_makes_no_record_is_refused_and_stays(
    browser: Browser, site: Site, form: dict[str, Any], says: str
) -> None:
    response = post(browser, FilledPlaceFactory(site=site), form)
    assert response.status_code == 422
    page = response.content.decode()
    assert says in text_of(response)
    assert form["form-0-value"] in page
    assert f'name="form-0-unit" value="{form["form-0-unit"]}"' in page
    assert not ConfigurationRecord.objects.exists()


def test_another_value_for_the_same_time_is_refused(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    assert post(browser, place, rows(("volume", "40", "%"))).status_code == 302
    response = post(browser, place, rows(("volume", "45", "%")))
    assert "recorded 40 % at that time: give a later taken_at" in text_of(response)
    assert ConfigurationRecord.objects.count() == 1


def test_a_place_is_recorded_and_changed(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site)
    browser.post(reverse("place-new", args=[site.code]), PLACE | {"rack": rack.pk, "position_u": "3"})
    place = Place.objects.get()
    assert (place.rack, place.position_u) == (rack, 3)
    browser.post(reverse("place-edit", args=[place.pk]), PLACE | {"name": "Amplifier 3", "ip": "10.0.5.17"})
    place.refresh_from_db()
    assert (place.name, place.rack, place.position_u, place.ip) == ("Amplifier 3", None, None, "10.0.5.17")


@pytest.mark.parametrize(
    ("rack", "position", "field"), [(False, "3", "rack"), (True, "13", "position_u"), (True, "0", "position_u")]
)
def test_a_unit_that_the_rack_has_not_is_refused(
    browser: Browser, site: Site, rack: bool, position: str, field: str
) -> None:
    form = PLACE | {"rack": RackFactory(site=site, height_u=12).pk if rack else "", "position_u": position}
    response = browser.post(reverse("place-new", args=[site.code]), form)
    assert field in response.context["form"].errors
    assert f'value="{position}"' in response.content.decode()
    assert not Place.objects.exists()


def test_a_place_that_moves_takes_its_units_along(browser: Browser, site: Site) -> None:
    old, new = RackFactory(site=site), RackFactory(site=site)
    place = FilledPlaceFactory(site=site, name="Amplifier 2", rack=old, position_u=3)
    browser.post(reverse("place-edit", args=[place.pk]), PLACE | {"rack": new.pk, "position_u": "5"})
    assert list(OccupiedUnit.objects.values_list("rack", "unit")) == [(new.pk, 5)]


def test_a_place_name_that_is_taken_is_refused(browser: Browser, site: Site) -> None:
    PlaceFactory(site=site, name="Amplifier 2")
    response = browser.post(reverse("place-new", args=[site.code]), PLACE)
    assert list(response.context["form"].errors) == ["name"]


def test_a_rack_of_another_site_is_not_offered(browser: Browser, site: Site) -> None:
    form = PLACE | {"rack": RackFactory(site=SiteFactory()).pk, "position_u": "3"}
    response = browser.post(reverse("place-new", args=[site.code]), form)
    assert "rack" in response.context["form"].errors
