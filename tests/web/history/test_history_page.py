"""The history page: who changed what, when and from where; for a site, a person, a thing; and as a file."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import ClientFactory, SiteFactory, UserFactory, ZoneFactory
from registry.web.history.listed import history_of
from sites.actions import save_site
from sites.editing import save_client
from sites.models import HistoryEntry, Role, Site, User
from sites.origin import Origin, Way, coming_from
from tests.web.conftest import SignIn
from tests.web.pages import csv_of, queries_of, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def changed(tech: User, site: Site) -> Site:
    with coming_from(Origin(Way.PAGE, "site-edit", "192.0.2.9")):
        save_site(by=tech, site=site, values={"address": "2 Mill Lane"})
    return site


def test_who_what_when_and_from_where(browser: Browser, changed: Site) -> None:
    words = text_of(browser.get(history_of(changed)))
    assert "changed Site North Hall" in words
    assert "→ 2 Mill Lane" in words
    assert "Page “site edit”, from 192.0.2.9" in words
    assert "tech" in words


def test_the_page_of_a_thing_leads_to_its_history(browser: Browser, site: Site) -> None:
    zone = ZoneFactory(site=site)
    assert history_of(zone).replace("&", "&amp;") in browser.get(reverse("zone", args=[zone.pk])).content.decode()
    assert f"{reverse('history')}?site={site.pk}" in browser.get(reverse("site", args=[site.code])).content.decode()


def test_it_is_filtered_by_site_person_kind_day_and_way(sign_in: SignIn, changed: Site, tech: User) -> None:
    browser, other = sign_in(UserFactory(role=Role.MANAGER)), SiteFactory(name="Elsewhere")
    save_site(by=UserFactory(), site=other, values={"address": "1 Far Road"})
    day = HistoryEntry.objects.latest("at").at.date()
    for query, shown, hidden in (
        (f"site={changed.pk}", "2 Mill Lane", "1 Far Road"),
        (f"person={tech.pk}", "2 Mill Lane", "1 Far Road"),
        ("way=page", "2 Mill Lane", "1 Far Road"),
        (f"kind=client_sites.site&object={other.pk}", "1 Far Road", "2 Mill Lane"),
        (f"since={day}&until={day}", "1 Far Road", "Nothing"),
    ):
        words = text_of(browser.get(f"{reverse('history')}?{query}")).split("Who", 1)[1]
        assert shown in words and hidden not in words, query
    assert "No writes fit" in text_of(browser.get(f"{reverse('history')}?until=2001-01-01"))
    assert "No writes fit" in text_of(browser.get(f"{reverse('history')}?kind=nonsense"))


def test_what_one_person_did_is_for_managers(browser: Browser, sign_in: SignIn, changed: Site) -> None:
    assert 'name="person"' not in browser.get(reverse("history")).content.decode()
    manager = sign_in(UserFactory(role=Role.MANAGER))
    assert 'name="person"' in manager.get(reverse("history")).content.decode()


def test_an_owner_sees_no_internal_history(sign_in: SignIn, owner: User, changed: Site) -> None:
    answer = sign_in(owner).get(history_of(changed))
    assert answer.status_code == 403
    assert "History" not in text_of(sign_in(owner).get(reverse("site", args=[changed.code])))


def test_it_is_exported(browser: Browser, changed: Site) -> None:
    lines = csv_of(browser.get(f"{history_of(changed)}&export=csv"))
    assert lines[0].startswith("When (UTC),Who,Did,What,Changed,Site,From")
    assert "2 Mill Lane" in lines[1] and "192.0.2.9" in lines[1]


@pytest.mark.parametrize("export", ["", "?export=csv"])
def test_it_costs_the_same_with_one_row_as_with_three(browser: Browser, tech: User, export: str) -> None:
    def change(number: int) -> None:
        client = ClientFactory()
        save_client(by=tech, client=client, values={"name": client.name, "phone": str(number)})
        ZoneFactory(site__client=client)

    change(1)
    first = queries_of(browser, reverse("history") + export)
    change(2)
    change(3)
    assert queries_of(browser, reverse("history") + export) == first


def test_times_are_those_of_the_site_and_things_have_the_words_of_their_pages(browser: Browser, changed: Site) -> None:
    entry = HistoryEntry.objects.latest("at")
    there = entry.at.astimezone(changed.zone_info)
    assert f"{there.day} {there:%b %Y %H:%M:%S}" in text_of(browser.get(history_of(changed)))
    words = text_of(browser.get(reverse("history")))
    assert "Make model" not in words and "Integration token" not in words
