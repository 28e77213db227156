"""North Hall as it was commissioned: one amplifier with settings, two zones with levels, a baseline of both."""

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.baselines.models import Baseline, Restore
from registry.baselines.restoring import start_restore
from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    LineFactory,
    ReadingFactory,
    SettingFactory,
    ZoneFactory,
)
from registry.equipment.models import Place
from sites.models import Site, User
from tests.web.audio.conftest import add_loudspeakers

SETTINGS = {"source": ("Stream 1", ""), "bass": ("-2", "dB"), "power-cut test": ("plays again", "")}


@pytest.fixture
def amplifier(site: Site) -> Place:
    place = FilledPlaceFactory(site=site, name="Amplifier 1")
    record = ConfigurationRecordFactory(place=place)
    for key, (value, unit) in SETTINGS.items():
        SettingFactory(record=record, key=key, value=value, unit=unit)
    return place


@pytest.fixture
def bar(site: Site) -> Zone:
    zone = ZoneFactory(site=site, name="Bar", spot="P1 by the till", source="Stream 1")
    ReadingFactory(zone=zone, level_db=62.0, background_db=40.0)
    return zone


@pytest.fixture
def hall(site: Site) -> Zone:
    zone = ZoneFactory(site=site, name="Hall", spot="P2 gate", source="Stream 1")
    ReadingFactory(zone=zone, level_db=66.0)
    return zone


@pytest.fixture
def line(site: Site, amplifier: Place, bar: Zone) -> Line:
    made = LineFactory(site=site, name="Bar line", amplifier=amplifier)
    add_loudspeakers(made, bar, "LS-1", "LS-2")
    made.refresh_from_db()
    return made


@pytest.fixture
def baseline(site: Site, line: Line, hall: Zone, tech: User) -> Baseline:
    return BaselineFactory(site=site, by=tech)


@pytest.fixture
def restore(baseline: Baseline, tech: User) -> Restore:
    return start_restore(by=tech, baseline=baseline)


def step(browser: Browser, restore: Restore, key: str, answer: str, **typed: str) -> Any:
    """Answer a step as the page does: what was seen comes from the page."""
    page = browser.get(reverse("restore", args=[restore.pk]))
    rows = [row for group in page.context["groups"] for row in (*group.rows, *([group.level] if group.level else []))]
    seen = next(row.form["seen"].value() for row in rows if row.step.key == key)
    values = {"key": key, "answer": answer, "seen": seen or "", "found": "", "could_not": ""} | typed
    return browser.post(reverse("restore-step", args=[restore.pk]), values)


def read(browser: Browser, restore: Restore, zone: Zone, state: str, **typed: str) -> Any:
    """Record a level as the page does."""
    values = {"zone": str(zone.pk), "state": state, "level_db": "62", "background_db": "", "dial": "50", "cap": "60"}
    values |= {"meter": "Meter A", "meter_class": "2", "track": "Reference track 1", "spot": zone.spot} | typed
    return browser.post(reverse("restore-reading", args=[restore.pk]), values)
