"""A line that computes well and measures badly says so first: on its page, its zone's, its site's, and to the owner."""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Zone
from registry.demo.factories.visits import FindingFactory
from registry.planning.models import LineMeasurement, Polarity
from registry.visits.models import ServiceCall
from sites.models import User
from tests.web.audio.conftest import add_loudspeakers
from tests.web.pages import answer_of, text_of

MEASURED = datetime(2026, 3, 4, 10, tzinfo=UTC)


def _measured(line: Line, hours: int = 0, **values: object) -> LineMeasurement:
    at = MEASURED + timedelta(hours=hours)
    return LineMeasurement.objects.create(line=line, taken_at=at, frequency_hz=1000, computed_ohm=4, **values)


@pytest.fixture
def broken(line: Line) -> Line:
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    _measured(line, impedance_ohm=4.1, verdict="pass")
    _measured(line, 1, is_open=True, verdict="fail")
    FindingFactory(site=line.site, line=line, severity="down", says="Nothing comes out")
    return line


def test_the_pages_of_line_zone_and_site_begin_with_it(browser: Browser, broken: Line, zone: Zone) -> None:
    page = answer_of(browser.get(reverse("line", args=[broken.pk])))
    assert page.startswith("Fail , measured 4 Mar 2026: no continuity")
    assert "As recorded: Pass : Two loudspeakers" in page
    says = "Line Bar line was not in order when last measured, 4 Mar 2026: no continuity"
    for name, key in (("zone", zone.pk), ("site", broken.site.code)):
        response = browser.get(reverse(name, args=[key]))
        assert says in answer_of(response)
        assert "Gravest open finding: down." in answer_of(response)
        assert "Down Nothing comes out" in text_of(response)


def test_a_later_measurement_in_order_takes_it_back_and_polarity_counts_for_itself(
    browser: Browser, broken: Line
) -> None:
    _measured(broken, 2, impedance_ohm=4.0, verdict="pass")
    page = reverse("line", args=[broken.pk])
    assert answer_of(browser.get(page)).startswith("Pass : Two loudspeakers")
    _measured(broken, 3, polarity=Polarity.REVERSED)
    assert answer_of(browser.get(page)).startswith("Fail , measured 4 Mar 2026: polarity reversed at some")


def test_the_owner_reads_it_with_open_calls_and_an_unsafe_load_stands_under_safety(
    browser: Browser, broken: Line, zone: Zone, tech: User
) -> None:
    ServiceCall.objects.create(site=broken.site, called_at=MEASURED, says="Silent", taken_by=tech)
    report = reverse("owners-report-site", args=[broken.site.code])
    answer = answer_of(browser.get(report))
    assert answer.startswith(
        "1 line was not in order when last measured. "
        "1 open finding of something that does not work; 1 service call not closed yet."
    )
    assert "Safety first" not in text_of(browser.get(report))
    add_loudspeakers(broken, zone, "LS-3", "LS-4", "LS-5", "LS-6")
    refresh_verdicts(Line.objects.filter(pk=broken.pk))
    words = text_of(browser.get(report))
    assert "1 line is not safe to drive." in words
    assert "Line Bar line (North Hall) must not be switched on as it is wired. Six loudspeakers of 8" in words
