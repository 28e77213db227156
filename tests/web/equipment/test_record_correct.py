"""The page that corrects a configuration record."""

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import (
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    ItemFactory,
    LineFactory,
    PlacementFactory,
    SettingFactory,
)
from registry.equipment.models import ConfigurationRecord
from registry.equipment.queries import settings_now
from sites.models import Site, User, YesNoUnknown
from tests.web.conftest import SignIn
from tests.web.pages import heading_of, queries_of, text_of


@pytest.fixture
def record(site: Site) -> ConfigurationRecord:
    made: ConfigurationRecord = ConfigurationRecordFactory(place=FilledPlaceFactory(site=site, name="Amplifier 1"))
    for key, value, unit in (("bass", "-2", "dB"), ("source", "Stream 1", "")):
        SettingFactory(record=made, key=key, value=value, unit=unit)
    return made


def typed(*rows: tuple[str, str, str]) -> dict[str, str]:
    """What the form sends: the known settings in their order, then free rows."""
    sent = {"form-TOTAL_FORMS": str(max(6, len(rows))), "form-INITIAL_FORMS": "2"}
    for number, row in enumerate(rows):
        sent |= {f"form-{number}-{name}": text for name, text in zip(("key", "value", "unit"), row, strict=True)}
    return sent


def post(browser: Browser, record: ConfigurationRecord, *rows: tuple[str, str, str]) -> Any:
    return browser.post(reverse("record-correct", args=[record.pk]), typed(*rows))


def test_it_starts_from_what_was_recorded(browser: Browser, record: ConfigurationRecord) -> None:
    page = browser.get(reverse("record-correct", args=[record.pk]))
    assert heading_of(page) == "Correct a record of Amplifier 1"
    assert 'name="form-0-value" value="-2"' in page.content.decode()
    assert "before: -2 dB" in text_of(page)


def test_a_correction_counts_and_both_records_are_on_the_places_page(
    browser: Browser, record: ConfigurationRecord
) -> None:
    place = reverse("place", args=[record.place_id])
    assert reverse("record-correct", args=[record.pk]) in browser.get(place).content.decode()
    response = post(browser, record, ("bass", "2", "dB"), ("source", "", ""), ("treble", "1", "dB"))
    assert response.headers["Location"] == place
    made = ConfigurationRecord.objects.get(replaces=record)
    assert made.recorded_by is not None
    assert made.recorded_by.username == "tech"
    now = settings_now([record.place])[record.place_id]
    assert {key: each.shown for key, each in now.items()} == {"bass": "2 dB", "treble": "1 dB"}
    page = browser.get(place)
    assert "(corrected since)" in text_of(page)
    assert reverse("record-correct", args=[record.pk]) not in page.content.decode()
    assert reverse("record-correct", args=[made.pk]) in page.content.decode()


def test_the_page_of_an_item_leads_there_too(browser: Browser, record: ConfigurationRecord) -> None:
    item = record.place.placements.get().item
    assert reverse("record-correct", args=[record.pk]) in browser.get(reverse("item", args=[item.pk])).content.decode()


def test_what_is_the_same_or_empty_is_refused_and_stays_typed(browser: Browser, record: ConfigurationRecord) -> None:
    same = post(browser, record, ("bass", "-2", "dB"), ("source", "Stream 1", ""))
    assert same.status_code == 422
    assert "nothing differs from what is recorded" in text_of(same)
    empty = post(browser, record, ("bass", "", "dB"), ("source", "", ""))
    assert empty.status_code == 422
    assert "type at least one value" in text_of(empty)
    twice = post(browser, record, ("bass", "1", "dB"), ("source", "x", ""), ("bass", "2", "dB"))
    assert "'bass' stands in two rows" in text_of(twice)
    assert 'value="1"' in twice.content.decode()
    assert ConfigurationRecord.objects.count() == 1


def test_a_record_that_was_corrected_leads_to_the_newer_one(browser: Browser, record: ConfigurationRecord) -> None:
    post(browser, record, ("bass", "2", "dB"), ("source", "Stream 1", ""))
    again = browser.get(reverse("record-correct", args=[record.pk]))
    assert again.status_code == 409
    assert heading_of(again) == "This record was corrected already"
    newer = ConfigurationRecord.objects.get(replaces=record)
    assert reverse("record-correct", args=[newer.pk]) in again.content.decode()
    assert post(browser, record, ("bass", "9", "dB"), ("source", "", "")).status_code == 409
    assert post(browser, newer, ("bass", "3", "dB"), ("source", "Stream 1", "")).status_code == 302


def test_a_place_with_a_flagged_line_is_cautioned_about(browser: Browser, record: ConfigurationRecord) -> None:
    LineFactory(site=record.place.site, amplifier=record.place, life_safety=YesNoUnknown.UNKNOWN)
    page = browser.get(reverse("record-correct", args=[record.pk]))
    assert "Fire alarm, voice alarm or emergency paging may run here" in text_of(page)


def test_who_may_correct(record: ConfigurationRecord, owner: User, stranger: User, sign_in: SignIn) -> None:
    assert post(sign_in(stranger), record, ("bass", "2", "dB")).status_code == 404
    assert post(sign_in(owner), record, ("bass", "2", "dB")).status_code == 403
    place = sign_in(owner).get(reverse("place", args=[record.place_id]))
    assert "Correct it" not in text_of(place)
    assert ConfigurationRecord.objects.count() == 1


def test_the_page_costs_the_same_with_two_settings_as_with_five(browser: Browser, record: ConfigurationRecord) -> None:
    address = reverse("record-correct", args=[record.pk])
    first = queries_of(browser, address)
    for number in range(3):
        SettingFactory(record=record, key=f"trim {number}")
        PlacementFactory(place=record.place, item=ItemFactory(site=record.place.site), current=False)
    assert queries_of(browser, address) == first
