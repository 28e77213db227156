"""The door card's page and its PDF."""

from django.test import Client as Browser
from django.urls import reverse

from registry.baselines.models import Baseline
from registry.demo.factories import BaselineFactory, SiteFactory, ZoneFactory
from sites.models import Site, User
from tests.reports.papers import codes_of, words_of
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, heading_of, queries_of, text_of


def page(site: Site) -> str:
    return reverse("door-card-page", args=[site.code])


def pdf(site: Site) -> str:
    return reverse("door-card", args=[site.code])


def test_the_page_says_what_the_card_says(browser: Browser, baseline: Baseline, site: Site) -> None:
    shown = browser.get(page(site))
    assert heading_of(shown) == "Door card: North Hall"
    assert answer_of(shown) == "Put every control at its default position: 50 %."
    words = text_of(shown)
    assert "Bar 50 %" in words
    assert "The cap: the upper limit of a control" in words
    assert "Never alter fire, voice-alarm or emergency paging parts." in words
    assert pdf(site) in shown.content.decode()


def test_the_pdf_is_shown_under_its_name_and_kept_by_nobody(browser: Browser, baseline: Baseline, site: Site) -> None:
    response = browser.get(pdf(site))
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.headers["Content-Disposition"] == 'inline; filename="door-card-north-hall.pdf"'
    assert response.headers["Cache-Control"] == "private, no-store"
    assert "North Hall" in words_of(response.content)


def test_the_code_leads_to_the_site_by_the_host_that_was_asked(
    browser: Browser, baseline: Baseline, site: Site
) -> None:
    assert codes_of(browser.get(pdf(site)).content) == ["http://testserver/sites/north-hall/"]
    assert codes_of(browser.get(pdf(site), headers={"host": "localhost:8000"}).content) == [
        "http://localhost:8000/sites/north-hall/"
    ]


def test_without_a_baseline_page_and_pdf_say_so_and_what_to_do(
    browser: Browser, site: Site, owner: User, sign_in: SignIn
) -> None:
    shown = browser.get(page(site))
    assert shown.status_code == 200
    assert pdf(site) not in shown.content.decode()
    refused = browser.get(pdf(site))
    assert refused.status_code == 409
    assert refused.headers["Content-Type"].startswith("text/html")
    for response in (shown, refused):
        assert answer_of(response) == "There is no door card yet: no baseline says where the controls belong."
        assert reverse("baseline-freeze", args=[site.code]) in response.content.decode()
    assert "Freeze the first baseline" not in text_of(sign_in(owner).get(page(site)))


def test_a_card_that_fits_on_no_page_is_shown_instead(browser: Browser, site: Site) -> None:
    for number in range(200):
        ZoneFactory(site=site, name=f"{number} {'x' * 70}")
    BaselineFactory(site=site)
    refused = browser.get(pdf(site))
    assert refused.status_code == 409
    words = text_of(refused)
    assert "There is too much for one page. The card is shown here instead: print this page." in words
    assert words.count("x" * 70) == 200


def test_two_sites_asked_in_turn_never_get_each_other_s_card(browser: Browser, baseline: Baseline, site: Site) -> None:
    other = SiteFactory(code="south-yard", name="South Yard")
    ZoneFactory(site=other, name="Yard")
    BaselineFactory(site=other)
    for _ in range(3):
        north, south = (words_of(browser.get(pdf(each)).content) for each in (site, other))
        assert ("North Hall" in north, "South Yard" in north) == (True, False)
        assert ("North Hall" in south, "South Yard" in south) == (False, True)


def test_an_unrecorded_contact_can_be_recorded_by_who_may_write(
    browser: Browser, baseline: Baseline, site: Site, owner: User, sign_in: SignIn
) -> None:
    site.client.phone = ""
    site.client.save()
    edit = reverse("client-edit", args=[site.client.pk])
    assert edit in browser.get(page(site)).content.decode()
    assert edit not in sign_in(owner).get(page(site)).content.decode()


def test_the_card_costs_the_same_queries_however_many_zones(browser: Browser, site: Site) -> None:
    def grown(count: int) -> list[int]:
        for _ in range(count):
            ZoneFactory(site=site)
        BaselineFactory(site=site)
        return [queries_of(browser, page(site)), queries_of(browser, pdf(site))]

    assert grown(1) == grown(2)
