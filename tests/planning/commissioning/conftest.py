"""A surveyed site with a run open in it: two lines, two zones, one amplifier (see tests/exchange/small_survey.py)."""

from typing import Any

import pytest

from registry.audio.models import Line, Zone
from registry.demo.factories import UserFactory
from registry.equipment.models import Place
from registry.exchange.importing import import_survey
from registry.planning.answers import say_could_not
from registry.planning.commissioning import (
    mark_spot,
    record_as_found,
    record_impedance,
    record_polarity,
    record_power_cut,
    set_track,
    start_commissioning,
)
from registry.planning.models import Commissioning, Polarity
from registry.planning.zone_matching import accept_trial, record_trial, want_level
from sites.models import Role, Site, User
from tests.exchange.small_survey import survey

TRACK: dict[str, Any] = {"track_name": "Pink 1", "track_sha256": "a" * 64, "track_level_dbfs": -20.0}
FOUND: dict[str, Any] = {
    "level_db": 62.0,
    "background_db": 45.0,
    "dial": 30.0,
    "cap": 100.0,
    "drive_v": 1.1,
    "meter": "Meter A",
    "meter_class": "2",
    "spot": "P1 by the till",
}
TRIAL = FOUND | {"dial": 50.0, "cap": 60.0, "level_db": 62.2}
OHM: dict[str, Any] = {"impedance_ohm": 17.0, "is_open": False, "frequency_hz": 1000.0}


@pytest.fixture
def site(db: None) -> Site:
    import_survey(survey(), by=None)
    return Site.objects.get()


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(role=Role.TECH)


@pytest.fixture
def other_tech(db: None) -> User:
    return UserFactory(role=Role.TECH)


@pytest.fixture
def run(site: Site, tech: User) -> Commissioning:
    return start_commissioning(by=tech, site=site)


@pytest.fixture
def shop(site: Site) -> Zone:
    return site.zones.get(name="Shop")


@pytest.fixture
def series_line(site: Site) -> Line:
    """L1: two loudspeakers of 8 Ω in series, 16 Ω and a little cable."""
    return site.lines.get(name="L1")


@pytest.fixture
def amplifier(site: Site) -> Place:
    return site.places.get(name="Amplifier 1")


def work_through(run: Commissioning, by: User) -> None:
    """Answer every step of the small site's run."""
    set_track(by=by, commissioning=run, values=TRACK)
    for line, ohm in zip(run.site.lines.order_by("name"), (17.0, 660.0), strict=True):
        record_impedance(by=by, commissioning=run, line=line, values=OHM | {"impedance_ohm": ohm})
        record_polarity(by=by, commissioning=run, line=line, polarity=Polarity.OK)
    for zone in run.site.zones.order_by("name"):
        spot = mark_spot(by=by, commissioning=run, zone=zone, spot=f"P1 of {zone.name}").spot
        record_as_found(by=by, commissioning=run, zone=zone, values=FOUND | {"spot": spot})
        want_level(by=by, commissioning=run, zone=zone, wanted_db=62.0)
        trial = record_trial(by=by, commissioning=run, zone=zone, values=TRIAL | {"spot": spot})
        accept_trial(by=by, commissioning=run, trial=trial)
    place = run.site.places.get(name="Amplifier 1")
    record_power_cut(by=by, commissioning=run, place=place, passed=True, says="plays Stream 1 after 40 s")


__all__ = ["FOUND", "OHM", "TRACK", "TRIAL", "say_could_not", "work_through"]
