"""The page of a zone: the answer, control, cautions, readings with their corrections, and its form."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Drift, Line, Zone
from registry.baselines.drift import refresh_drift
from registry.demo.factories import BaselineFactory, ReadingFactory, SpaceFactory, ZoneFactory
from registry.equipment.models import State
from sites.models import Site, User, YesNoUnknown
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, csv_of, heading_of, text_of

ZONE = {
    "name": "Bar",
    "space": "",
    "source": "Stream 1",
    "spot": "P1 by the till",
    "default_position": "50",
    "tolerance_db": "2",
}


def page_of(browser: Browser, zone: Zone) -> str:
    return text_of(browser.get(reverse("zone", args=[zone.pk])))


@pytest.mark.parametrize(
    ("level_db", "begins"),
    [
        (62.4, "Within tolerance : +0.4 dB against the baseline, tolerance ±2 dB"),
        (57.0, "Out of tolerance : −5.0 dB against the baseline, tolerance ±2 dB"),
    ],
)
def test_the_page_begins_with_how_the_zone_stands(browser: Browser, zone: Zone, level_db: float, begins: str) -> None:
    ReadingFactory(zone=zone, level_db=62.0)
    BaselineFactory(site=zone.site)
    ReadingFactory(zone=zone, level_db=level_db, state=State.AS_FOUND)
    assert answer_of(browser.get(reverse("zone", args=[zone.pk]))).startswith(begins)


def test_a_zone_that_nobody_read_says_what_to_do(browser: Browser, zone: Zone) -> None:
    response = browser.get(reverse("zone", args=[zone.pk]))
    assert answer_of(response) == "No baseline holds a level of this zone: freeze one when it is set as agreed."
    assert "No level was read yet. Take the first at the marked spot" in text_of(response)
    assert reverse("reading-new", args=[zone.pk]) in response.content.decode()


def test_dial_and_cap_stand_beside_the_baseline_with_the_cap_that_reaches_the_default(
    browser: Browser, zone: Zone
) -> None:
    ReadingFactory(zone=zone, dial=38.0, cap=100.0)
    words = page_of(browser, zone)
    assert "Dial at the last reading 38 %" in words
    # 38 % without a cap is 76 % at 50 % (common practice, a worked figure of the trade).
    assert "A cap of 76 % gives the same output with the dial at its default position, 50 %." in words


@pytest.mark.parametrize(("level_db", "cautioned"), [(79.9, False), (80.0, True)])
def test_hearing_is_cautioned_about_from_80_db(browser: Browser, zone: Zone, level_db: float, cautioned: bool) -> None:
    ReadingFactory(zone=zone, level_db=level_db)
    assert ("80 dB(A) or more: staff exposure" in page_of(browser, zone)) is cautioned


def test_its_loudspeakers_and_lines_are_drawn(browser: Browser, zone: Zone, line: Line) -> None:
    page = browser.get(reverse("zone", args=[zone.pk])).content.decode()
    assert f'id="line-{line.pk}-wide-title"' in page
    assert page.count(reverse("line", args=[line.pk])) == 3  # two loudspeakers, one heading


def test_a_zone_on_a_line_that_may_serve_life_safety_offers_no_change(browser: Browser, zone: Zone, line: Line) -> None:
    ReadingFactory(zone=zone, dial=38.0, cap=100.0)
    line.life_safety = YesNoUnknown.UNKNOWN
    line.save()
    words = page_of(browser, zone)
    assert "Bar line is or may be life-safety related, so no change and no restore step is offered" in words
    assert "A cap of" not in words


def test_a_corrected_reading_stays_visible_and_says_so(browser: Browser, zone: Zone) -> None:
    wrong = ReadingFactory(zone=zone, level_db=26.0)
    address = reverse("reading-correct", args=[wrong.pk])
    typed = {"level_db": "62", "dial": "50", "cap": "60", "spot": wrong.spot, "meter": wrong.meter, "meter_class": "2"}
    assert browser.post(address, typed | {"track": wrong.track}).status_code == 302
    words = page_of(browser, zone)
    assert "Does not count: corrected to 62 dB" in words
    assert "Corrects a reading of 26 dB" in words
    assert "Last reading 62.0 dB(A) as left" in words
    again = browser.get(address)
    assert again.status_code == 409
    assert heading_of(again) == "This reading was corrected already"


def test_a_reader_gets_no_link_to_correct(zone: Zone, owner: User, sign_in: SignIn) -> None:
    ReadingFactory(zone=zone)
    assert "Correct it" not in page_of(sign_in(owner), zone)


def test_the_readings_are_exported_with_every_fact_in_a_column(browser: Browser, zone: Zone) -> None:
    ReadingFactory(zone=zone, level_db=62.5, background_db=41.0)
    header, row = csv_of(browser.get(reverse("zone", args=[zone.pk]), {"export": "csv"}))
    assert header == (
        "Read at,State,Level (dB(A)),Background (dB(A)),Dial (%),Cap (%),Drive (V),Spot,Meter,Class,Track,By,Remark"
    )
    assert row.split(",")[1:7] == ["As left", "62.5", "41.0", "50.0", "60.0", ""]


def test_a_zone_is_recorded_with_the_middle_as_its_default(browser: Browser, site: Site) -> None:
    space = SpaceFactory(site=site)
    shown = browser.get(reverse("zone-new", args=[site.code])).context["form"]
    assert (shown["default_position"].value(), shown["tolerance_db"].value()) == (50.0, 2.0)
    response = browser.post(reverse("zone-new", args=[site.code]), ZONE | {"space": space.pk})
    zone = Zone.objects.get()
    assert response.headers["Location"] == reverse("zone", args=[zone.pk])
    assert (zone.space, zone.default_position, zone.tolerance_db) == (space, 50.0, 2.0)


@pytest.mark.parametrize(("name", "value"), [("tolerance_db", "0"), ("default_position", "101"), ("name", "")])
def test_a_wrong_value_stands_beside_its_field_and_stays(browser: Browser, zone: Zone, name: str, value: str) -> None:
    response = browser.post(reverse("zone-edit", args=[zone.pk]), ZONE | {name: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [name]
    assert response.context["form"][name].value() == value


def test_a_zone_takes_no_space_of_another_site_and_no_name_twice(browser: Browser, zone: Zone) -> None:
    ZoneFactory(site=zone.site, name="Hall")
    foreign = SpaceFactory()
    for changed, field in (({"space": foreign.pk}, "space"), ({"name": "Hall"}, "name")):
        response = browser.post(reverse("zone-edit", args=[zone.pk]), ZONE | changed)
        assert list(response.context["form"].errors) == [field]


def test_a_narrower_tolerance_is_judged_at_once(browser: Browser, zone: Zone) -> None:
    ReadingFactory(zone=zone, level_db=62.0)
    BaselineFactory(site=zone.site)
    ReadingFactory(zone=zone, level_db=63.9)
    refresh_drift(Zone.objects.filter(pk=zone.pk))
    zone.refresh_from_db()
    assert zone.drift == Drift.UNDECIDED
    browser.post(reverse("zone-edit", args=[zone.pk]), ZONE | {"tolerance_db": "6"})
    zone.refresh_from_db()
    assert zone.drift == Drift.WITHIN
