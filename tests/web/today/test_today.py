"""The first page says what needs somebody, most pressing first."""

from datetime import time, timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Drift, Verdict
from registry.baselines.restoring import start_restore
from registry.demo.factories import (
    BaselineFactory,
    ItemFactory,
    LineFactory,
    SiteFactory,
    UserFactory,
    ZoneFactory,
)
from registry.demo.factories.visits import FindingFactory, VisitFactory
from registry.visits.models import ServiceCall, VisitPlan
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, queries_of, text_of


def test_the_first_sentence_counts_what_needs_somebody(browser: Browser, site: Site) -> None:
    LineFactory(site=site, name="Bar line", verdict=Verdict.FAIL, says="1.4 Ω; it allows 4 Ω.")
    for name in ("Bar", "Hall"):
        ZoneFactory(site=site, name=name, drift=Drift.OUT, drift_db=-4.04)
    ItemFactory(site=site, tag="NH-1", warranty_until=timezone.localdate() + timedelta(days=90))
    page = browser.get(reverse("today"))
    assert answer_of(page) == (
        "1 unsafe load, 2 zones out of tolerance, 1 site without a baseline, 1 warranty ends within 90 days."
    )
    words = text_of(page)
    assert "Bar line at North Hall 1.4 Ω; it allows 4 Ω." in words
    assert "−4.0 dB against the baseline" in words
    assert "ends in 90 days" in words
    assert "Don't switch it on with this load." in words


def test_what_is_fine_is_left_out(browser: Browser, site: Site) -> None:
    LineFactory(site=site, verdict=Verdict.WARN)
    ZoneFactory(site=site, drift=Drift.WITHIN)
    ItemFactory(site=site, warranty_until=timezone.localdate() + timedelta(days=91))
    ItemFactory(site=site, warranty_until=timezone.localdate() - timedelta(days=1))
    BaselineFactory(site=site)
    assert answer_of(browser.get(reverse("today"))).startswith("Nothing needs you")


def test_the_visits_of_today_and_tomorrow_are_listed(browser: Browser, site: Site) -> None:
    BaselineFactory(site=site)
    noon = timezone.localtime().replace(hour=12)
    for title, days in (("Yesterday's", -1), ("Filters", 0), ("Levels", 1), ("Later", 2)):
        VisitFactory(site=site, title=title, starts_at=noon + timedelta(days=days), tech=None)
    VisitFactory(site=site, title="Begun", starts_at=noon - timedelta(days=1), begun_at=noon - timedelta(days=1))
    page = browser.get(reverse("today"))
    concern = next(each for each in page.context["concerns"] if each.heading == "Visits today and tomorrow")
    assert [row.name for row in concern.rows] == ["Begun", "Filters", "Levels"]
    assert "3 visits today or tomorrow" in answer_of(page)
    assert "under way since" in concern.rows[0].why
    assert concern.rows[1].why.startswith("today ") and concern.rows[2].why.startswith("tomorrow ")


def test_an_open_restore_is_there_until_it_is_signed(browser: Browser, site: Site) -> None:
    start_restore(by=UserFactory(username="sam"), baseline=BaselineFactory(site=site))
    page = browser.get(reverse("today"))
    assert answer_of(page) == "1 open restore."
    assert "To baseline 1 at North Hall started by sam" in text_of(page)


def test_each_list_is_short_and_leads_to_the_whole_one(browser: Browser) -> None:
    for number in range(7):
        SiteFactory(name=f"Site {number}")
    page = browser.get(reverse("today"))
    concern = page.context["concerns"][0]
    assert (concern.number, len(concern.rows)) == (7, 5)
    assert f'<a href="{reverse("sites")}?baseline=no">All 7</a>' in page.content.decode()
    assert len(browser.get(f"{reverse('sites')}?baseline=no").context["listing"].rows) == 7


def test_without_a_site_it_says_where_to_begin(browser: Browser) -> None:
    assert answer_of(browser.get(reverse("today"))) == "There is no site yet."
    assert reverse("client-new") in browser.get(reverse("today")).content.decode()


def test_an_owner_sees_only_their_own(site: Site, stranger: User, sign_in: SignIn) -> None:
    LineFactory(site=site, verdict=Verdict.FAIL)
    BaselineFactory(site=stranger.memberships.get().client.sites.get())
    assert answer_of(sign_in(stranger).get(reverse("today"))).startswith("Nothing needs you")


@pytest.mark.parametrize("who", ["tech", "owner"])
def test_all_of_it_at_once_costs_15_queries_at_most(
    site: Site, tech: User, owner: User, sign_in: SignIn, who: str
) -> None:
    now, today = timezone.now(), timezone.localdate()
    start_restore(by=tech, baseline=BaselineFactory(site=site))
    SiteFactory(client=site.client)
    LineFactory(site=site, verdict=Verdict.FAIL)
    ZoneFactory(site=site, drift=Drift.OUT, drift_db=5.0)
    ItemFactory(site=site, warranty_until=today)
    ServiceCall.objects.create(site=site, called_at=now, says="Too loud", taken_by=tech)
    VisitFactory(site=site, starts_at=now)
    FindingFactory(site=site)
    VisitPlan.objects.create(site=site, name="Check", rule="FREQ=YEARLY", starts_on=today, starts_at=time(9))
    browser = sign_in({"tech": tech, "owner": owner}[who])
    assert len(browser.get(reverse("today")).context["concerns"]) == 10
    assert queries_of(browser, reverse("today")) <= 15
