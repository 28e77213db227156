"""Two baselines, or one and the present, side by side: only what differs, all of it on demand."""

from typing import Any

from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Zone
from registry.baselines.models import Baseline
from registry.demo.factories import BaselineFactory, ConfigurationRecordFactory, SettingFactory, ZoneFactory
from registry.equipment.models import Place
from sites.models import Site
from tests.web.pages import answer_of, heading_of, text_of


def compared(browser: Browser, site: Site, **asked: str) -> Any:
    return browser.get(reverse("baseline-compare", args=[site.code]), asked)


def rows_of(page: Any) -> dict[tuple[str, str], list[tuple[str, str, str]]]:
    return {
        (group.subject, group.name): [(row.label, row.before, row.after) for row in group.rows]
        for group in page.context["groups"]
    }


def test_nothing_changed_is_said_so(browser: Browser, site: Site, baseline: Baseline) -> None:
    page = compared(browser, site, a="1", b="now")
    assert answer_of(page) == "Nothing differs."
    assert heading_of(page) == "Baseline 1 and now"


def test_a_setting_and_a_position_that_changed_stand_side_by_side(
    browser: Browser, site: Site, baseline: Baseline, amplifier: Place, bar: Zone
) -> None:
    SettingFactory(record=ConfigurationRecordFactory(place=amplifier), key="bass", value="4", unit="dB")
    bar.default_position = 40.0
    bar.save()
    page = compared(browser, site, a="1", b="now")
    assert answer_of(page) == "2 values differ in 2 places, zones or lines."
    assert rows_of(page) == {
        ("Place", "Amplifier 1"): [("bass", "-2 dB", "4 dB")],
        ("Zone", "Bar"): [("Default position", "50\xa0%", "40\xa0%")],
    }


def test_two_baselines_are_compared_by_their_numbers(
    browser: Browser, site: Site, baseline: Baseline, bar: Zone
) -> None:
    bar.source = "Stream 2"
    bar.save()
    BaselineFactory(site=site)
    assert rows_of(compared(browser, site, a="1", b="2")) == {("Zone", "Bar"): [("Source", "Stream 1", "Stream 2")]}
    assert rows_of(compared(browser, site, a="2", b="1")) == {("Zone", "Bar"): [("Source", "Stream 2", "Stream 1")]}


def test_a_zone_that_is_on_one_side_only_is_marked(browser: Browser, site: Site, baseline: Baseline) -> None:
    ZoneFactory(site=site, name="Yard")
    assert "Yard zone, not in baseline 1" in text_of(compared(browser, site, a="1", b="now"))


def test_equal_values_come_on_demand(browser: Browser, site: Site, baseline: Baseline) -> None:
    page = compared(browser, site, a="1", b="now", all="1")
    assert ("Level", "62.0\xa0dB(A)", "62.0\xa0dB(A)") in rows_of(page)[("Zone", "Bar")]
    assert answer_of(page) == "Nothing differs."


def test_without_a_choice_the_newest_stands_beside_the_present(
    browser: Browser, site: Site, baseline: Baseline
) -> None:
    page = compared(browser, site)
    assert (page.context["before"].choice, page.context["after"].choice) == ("1", "now")


def test_without_a_baseline_there_is_nothing_to_compare(browser: Browser, site: Site) -> None:
    page = compared(browser, site)
    assert answer_of(page) == "There is nothing to compare yet: freeze a baseline first."
    assert reverse("baseline-freeze", args=[site.code]) in page.content.decode()


def test_a_number_that_no_baseline_has_asks_again(browser: Browser, site: Site, baseline: Baseline) -> None:
    assert answer_of(compared(browser, site, a="1", b="7")).startswith("Choose what to compare with")
