"""A page of a run costs the same number of queries with one line, zone and amplifier as with three of each."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.planning.commissioning import (
    mark_spot,
    record_as_found,
    record_impedance,
    record_polarity,
    record_power_cut,
)
from registry.planning.models import Commissioning, Polarity
from registry.planning.photos import add_photo
from registry.planning.zone_matching import accept_trial, record_trial, want_level
from sites.models import Site, User
from tests.web.commissioning.conftest import picture, wired
from tests.web.pages import queries_of

READ = {"level_db": 62.0, "background_db": 45.0, "dial": 30.0, "cap": 100.0, "meter": "Meter A", "meter_class": "2"}


def answered(run: Commissioning, line: Line, by: User) -> None:
    """Answer every step at a line, its zone and its amplifier."""
    zone = Zone.objects.get(loudspeakers__coils__line=line, loudspeakers__label__endswith="A")
    values = {"impedance_ohm": 6.0, "is_open": False, "frequency_hz": 1000.0}
    record_impedance(by=by, commissioning=run, line=line, values=values)
    record_polarity(by=by, commissioning=run, line=line, polarity=Polarity.NOT_TESTED)
    zone = mark_spot(by=by, commissioning=run, zone=zone, spot="P1")
    add_photo(by=by, commissioning=run, zone=zone, data=picture())
    record_as_found(by=by, commissioning=run, zone=zone, values=READ)
    want_level(by=by, commissioning=run, zone=zone, wanted_db=55.0)
    trial = record_trial(by=by, commissioning=run, zone=zone, values=READ)
    accept_trial(by=by, commissioning=run, trial=trial)
    record_power_cut(by=by, commissioning=run, place=line.amplifier, passed=False, says="silent")


@pytest.mark.parametrize("route", ["commissioning", "commissioning-freeze", "commissioning-track"])
def test_pages_of_a_run(run: Commissioning, line: Line, tech: User, browser: Browser, route: str) -> None:
    address = reverse(route, args=[run.pk])
    answered(run, line, tech)
    first = queries_of(browser, address)
    for number in (2, 3):
        answered(run, wired(run.site, number), tech)
    assert queries_of(browser, address) == first


@pytest.mark.parametrize("part", ["line", "zone", "place"])
def test_pages_of_a_stop(run: Commissioning, line: Line, tech: User, browser: Browser, part: str) -> None:
    zone = run.site.zones.get()
    at = {"line": line, "zone": zone, "place": line.amplifier}[part]
    address = reverse(f"commissioning-{part}", args=[run.pk, at.pk])
    answered(run, line, tech)
    first = queries_of(browser, address)
    for number in (2, 3):
        answered(run, wired(run.site, number), tech)
        record_impedance(
            by=tech,
            commissioning=run,
            line=line,
            values={"impedance_ohm": 4.0, "is_open": False, "frequency_hz": 1000.0},
        )
        record_trial(by=tech, commissioning=run, zone=zone, values=READ, seen=number - 1)
        add_photo(by=tech, commissioning=run, zone=zone, data=picture())
    assert queries_of(browser, address) == first


def test_the_line_and_zone_pages_with_what_was_measured(
    run: Commissioning, line: Line, tech: User, browser: Browser
) -> None:
    zone = run.site.zones.get()
    answered(run, line, tech)
    addresses = [
        reverse("line", args=[line.pk]),
        reverse("zone", args=[zone.pk]),
        reverse("site", args=[run.site.code]),
    ]
    before = [queries_of(browser, address) for address in addresses]
    for _ in range(2):
        record_polarity(by=tech, commissioning=run, line=line, polarity=Polarity.OK)
        add_photo(by=tech, commissioning=run, zone=zone, data=picture())
    assert [queries_of(browser, address) for address in addresses] == before


def test_the_runs_of_a_site(run: Commissioning, site: Site, tech: User, browser: Browser) -> None:
    from registry.planning.commissioning import start_commissioning
    from registry.planning.finishing import stop_commissioning

    address = reverse("commissionings", args=[site.code])
    stop_commissioning(by=tech, commissioning=run, because="tried it out")
    first = queries_of(browser, address)
    for _ in range(2):
        stop_commissioning(by=tech, commissioning=start_commissioning(by=tech, site=site), because="tried it out")
    assert queries_of(browser, address) == first
