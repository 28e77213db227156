"""Freezing asks for a reason, shows what is missing, and needs a tick to freeze without it."""

from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.models import Baseline
from registry.demo.factories import BaselineFactory, ReadingFactory, UserFactory, ZoneFactory
from registry.equipment.models import State
from sites.models import Site
from tests.web.pages import answer_of, heading_of, text_of


def test_a_whole_site_is_frozen_with_a_reason(browser: Browser, site: Site, line: Line, hall: Zone) -> None:
    address = reverse("baseline-freeze", args=[site.code])
    page = browser.get(address)
    assert answer_of(page) == "Nothing is missing: every zone has its level, every amplifier its settings."
    assert "with_exceptions" not in page.content.decode()
    response = browser.post(address, {"reason": "Commissioning"})
    frozen = Baseline.objects.get()
    assert response.headers["Location"] == reverse("baseline", args=[frozen.pk])
    assert (frozen.number, frozen.reason, frozen.author.username) == (1, "Commissioning", "tech")


def test_without_a_reason_nothing_is_frozen(browser: Browser, site: Site, line: Line, hall: Zone) -> None:
    response = browser.post(reverse("baseline-freeze", args=[site.code]), {"reason": "  "})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["reason"]
    assert not Baseline.objects.exists()


def test_what_is_missing_stands_there_and_needs_a_tick(browser: Browser, site: Site, line: Line, hall: Zone) -> None:
    ZoneFactory(site=site, name="Yard")
    address = reverse("baseline-freeze", args=[site.code])
    page = browser.get(address)
    assert answer_of(page) == "1 thing is missing or not as agreed. Freeze with it only if that was agreed."
    assert "Zone Yard has no level: read it at its spot." in text_of(page)
    refused = browser.post(address, {"reason": "Phase one"})
    assert refused.status_code == 422
    assert "something is missing or not as agreed: Zone Yard has no level" in text_of(refused)
    assert refused.context["form"]["reason"].value() == "Phase one"
    browser.post(address, {"reason": "Phase one", "with_exceptions": "on"})
    assert Baseline.objects.get().exceptions == ["Zone Yard has no level: read it at its spot."]


def test_a_baseline_shows_its_exceptions_before_all_else(browser: Browser, baseline: Baseline) -> None:
    page = browser.get(reverse("baseline", args=[baseline.pk]))
    assert heading_of(page) == "Baseline 1 of North Hall"
    words = text_of(page)
    assert words.index("Exceptions None: nothing was missing") < words.index("Zones Zone Level")
    assert "Bar 62.0 dB(A) ± 2.0 dB 50 % 60 % 40.0 dB(A) Stream 1 P1 by the till Meter A, class 2;" in words
    assert "bass -2 dB" in words
    assert "Bar line Amplifier 1, 1 Low impedance Pass 4 Ω" in words


def test_an_older_baseline_says_that_there_is_a_newer_one(browser: Browser, baseline: Baseline, site: Site) -> None:
    browser.post(reverse("baseline-freeze", args=[site.code]), {"reason": "Louder bar"})
    words = text_of(browser.get(reverse("baseline", args=[baseline.pk])))
    assert "This is not the newest: baseline 2 of" in words


def test_the_list_has_baselines_and_restores(browser: Browser, baseline: Baseline, site: Site) -> None:
    page = browser.get(reverse("baselines", args=[site.code]))
    assert answer_of(page) == "1 baseline, 0 restores."
    assert [row.object for row in page.context["listing"].rows] == [baseline]


def test_what_would_change_against_the_newest_baseline_stands_there(
    browser: Browser, baseline: Baseline, site: Site, bar: Zone
) -> None:
    address = reverse("baseline-freeze", args=[site.code])
    assert "Nothing would change: every value is as in baseline 1" in text_of(browser.get(address))
    ReadingFactory(zone=bar, level_db=67.0, background_db=40.0, state=State.AS_FOUND, taken_at=timezone.now())
    words = text_of(browser.get(address))
    assert "Zone Bar is out of tolerance against baseline 1 (+5.0 dB): freezing makes that the agreed level." in words
    assert "Zone Bar was last read as found, not as left" in words
    assert "1 value would change" in words
    assert "Level Bar, zone 62.0 dB(A) 67.0 dB(A)" in words


def test_a_page_that_promised_another_number_freezes_nothing_and_asks_for_the_tick_again(
    browser: Browser, baseline: Baseline, site: Site, bar: Zone
) -> None:
    address = reverse("baseline-freeze", args=[site.code])
    assert '<input type="hidden" name="number" value="2">' in browser.get(address).content.decode()
    BaselineFactory(site=site, by=UserFactory(username="second"))
    refused = browser.post(address, {"reason": "Louder", "number": "2", "with_exceptions": "on"})
    assert refused.status_code == 422
    assert "baseline 2 was frozen meanwhile by second: look at it, then freeze 3" in text_of(refused)
    assert '<input type="hidden" name="number" value="3">' in refused.content.decode()
    assert refused.context["form"]["reason"].value() == "Louder"
    assert not refused.context["form"]["with_exceptions"].value()
    assert site.baselines.count() == 2
    browser.post(address, {"reason": "Louder", "number": "3"})
    assert site.baselines.count() == 3
