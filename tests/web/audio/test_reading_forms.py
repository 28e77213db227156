"""Recording a level: units, ranges, times, and what is filled in beforehand."""

from datetime import timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Zone
from registry.baselines.models import Reading
from registry.demo.factories import ReadingFactory
from tests.web.pages import text_of

READING = {
    "state": "as found",
    "level_db": "62.5",
    "background_db": "41 dB",
    "dial": "50",
    "cap": "60 %",
    "drive_v": "",
    "taken_at": "2024-06-01T10:30",
    "spot": "P1 by the till",
    "meter": "Meter A",
    "meter_class": "2",
    "track": "Track 1",
}


def test_a_reading_is_recorded_at_the_sites_own_clock(browser: Browser, zone: Zone) -> None:
    response = browser.post(reverse("reading-new", args=[zone.pk]), READING)
    assert response.headers["Location"] == reverse("zone", args=[zone.pk])
    reading = Reading.objects.get()
    # 10:30 in London in June is 09:30 UTC.
    assert reading.taken_at.isoformat() == "2024-06-01T09:30:00+00:00"
    assert (reading.level_db, reading.background_db, reading.cap) == (62.5, 41.0, 60.0)
    assert reading.recorded_by.username == "tech"


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("level_db", "62,5"),
        ("level_db", ""),
        ("level_db", "200"),
        ("background_db", "quiet"),
        ("dial", "101"),
        ("cap", "-1"),
        ("drive_v", "0"),
        ("state", "after"),
        ("taken_at", "yesterday"),
        ("taken_at", "2024-03-31T01:30"),  # summer time skips this hour in London
    ],
)
def test_a_wrong_value_stands_beside_its_field_and_stays(browser: Browser, zone: Zone, name: str, value: str) -> None:
    response = browser.post(reverse("reading-new", args=[zone.pk]), READING | {name: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [name]
    assert response.context["form"][name].value() == value
    assert response.context["form"]["track"].value() == "Track 1"
    assert not Reading.objects.exists()


def test_a_reading_is_not_of_the_future(browser: Browser, zone: Zone) -> None:
    tomorrow = (timezone.now() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    response = browser.post(reverse("reading-new", args=[zone.pk]), READING | {"taken_at": tomorrow})
    assert list(response.context["form"].errors) == ["taken_at"]


def test_the_same_reading_twice_is_one_and_another_value_for_it_is_refused(browser: Browser, zone: Zone) -> None:
    address = reverse("reading-new", args=[zone.pk])
    assert browser.post(address, READING).status_code == 302
    assert browser.post(address, READING).status_code == 302
    assert Reading.objects.count() == 1
    response = browser.post(address, READING | {"level_db": "60"})
    assert list(response.context["form"].errors) == ["level_db"]
    assert "already recorded as 62.5" in text_of(response)


def test_meter_spot_and_track_are_filled_in_from_the_reading_before(browser: Browser, zone: Zone) -> None:
    ReadingFactory(zone=zone, meter="Meter B", meter_class="1", track="Track 7", spot="")
    form = browser.get(reverse("reading-new", args=[zone.pk])).context["form"]
    filled = {name: form[name].value() for name in ("meter", "meter_class", "track", "spot", "level_db", "dial")}
    assert filled == {
        "meter": "Meter B",
        "meter_class": "1",
        "track": "Track 7",
        "spot": "P1 by the till",
        "level_db": None,
        "dial": None,
    }


def test_a_correction_that_changes_nothing_is_refused(browser: Browser, zone: Zone) -> None:
    reading = ReadingFactory(zone=zone, level_db=62.0)
    address = reverse("reading-correct", args=[reading.pk])
    shown = browser.get(address).context["form"]
    same = {name: shown[name].value() or "" for name in shown.fields}
    response = browser.post(address, same)
    assert response.status_code == 422
    assert "Nothing differs from what is recorded" in text_of(response)
    assert Reading.objects.count() == 1
