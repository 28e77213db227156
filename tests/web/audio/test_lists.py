"""The lists of lines and zones: filters, and what each person sees."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Drift, Line, Verdict, Zone
from registry.demo.factories import LineFactory, ZoneFactory
from sites.models import User, YesNoUnknown
from tests.web.conftest import SignIn
from tests.web.pages import csv_of, text_of


@pytest.mark.parametrize(
    "asked",
    [
        {"verdict": "fail"},
        {"life_safety": "unknown"},
        {"kind": "100"},
        {"name": "yard"},
        {"sort": "-line", "verdict": "fail"},
    ],
)
def test_lines_are_filtered(browser: Browser, line: Line, asked: dict[str, str]) -> None:
    LineFactory(site=line.site, name="Yard line", verdict=Verdict.FAIL, life_safety=YesNoUnknown.UNKNOWN, kind="100")
    shown = browser.get(reverse("lines"), asked).context["listing"].rows
    assert [row.object.name for row in shown] == ["Yard line"]


def test_zones_are_filtered_and_exported(browser: Browser, zone: Zone) -> None:
    ZoneFactory(site=zone.site, name="Yard", drift=Drift.OUT, drift_db=-4.25)
    response = browser.get(reverse("zones"), {"drift": "out", "export": "csv"})
    header, row = csv_of(response)
    assert header.split(",")[3:6] == ["Against its baseline", "Drift (dB)", "Tolerance (dB)"]
    assert row.startswith("Yard,North Hall,,out,-4.25,2.0")


def test_a_stranger_sees_no_line_and_no_zone_of_others(line: Line, stranger: User, sign_in: SignIn) -> None:
    browser = sign_in(stranger)
    assert "No line is recorded yet." in text_of(browser.get(reverse("lines")))
    assert "No zone is recorded yet." in text_of(browser.get(reverse("zones")))
    foreign = browser.get(reverse("lines"), {"site": line.site_id})
    assert "site" in foreign.context["listing"].filter.form.errors
