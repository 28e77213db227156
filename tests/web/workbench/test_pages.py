"""Every calculation is reachable, answers its example, costs two queries, and is a whole answer."""

import re
from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.web.workbench.catalogue import CALCULATIONS, THEMES
from registry.web.workbench.declaring import Calculation
from sites.models import User
from tests.web.conftest import SignIn
from tests.web.workbench.asking import calc

EVERY = pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=CALCULATIONS)


class Figures(HTMLParser):
    """Collects the unrounded numbers of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.values: list[float] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "data":
            self.values.append(float(dict(attrs)["value"] or "nan"))


def page_of(browser: Browser, calculation: Calculation, typed: dict[str, str] | None = None) -> Any:
    return browser.get(reverse("calculation", args=[calculation.name]), typed or {})


def test_the_index_leads_to_every_calculation_once(browser: Browser) -> None:
    page = browser.get(reverse("workbench")).content.decode()
    links = re.findall(r'href="/workbench/([a-z0-9-]+)/"', page)
    assert links == list(CALCULATIONS)
    assert len(links) == sum(len(theme.calculations) for theme in THEMES)


def test_the_navigation_leads_to_the_workbench_and_marks_it(browser: Browser) -> None:
    page = browser.get(reverse("workbench")).content.decode()
    assert '<a href="/workbench/" aria-current="true">Workbench</a>' in page


@EVERY
def test_the_example_is_answered_with_sentence_figures_formula_and_source(
    browser: Browser, calculation: Calculation
) -> None:
    response = page_of(browser, calculation)
    page = response.content.decode()
    assert response.status_code == 200
    assert response.context["answer"].says.endswith((".", "?"))
    assert page.count("<h1>") == 1
    assert all(term.text for term in response.context["answer"].formula)
    assert response.context["answer"].formula
    assert calculation.source
    assert 'class="error"' not in page


@EVERY
def test_page_and_command_give_the_same_numbers(browser: Browser, calculation: Calculation) -> None:
    typed = {name: text for name, text in calculation.example.items() if text}
    found = calc(calculation.name, typed)
    shown = Figures(page_of(browser, calculation, typed).content.decode()).values
    told = [value for value in found["results"].values() if isinstance(value, int | float)]
    told += [
        value
        for rows in found["tables"].values()
        for row in rows
        for value in row.values()
        if isinstance(value, int | float)
    ]
    assert told
    assert sorted(shown) == sorted(told)


@EVERY
def test_the_address_holds_the_calculation(browser: Browser, calculation: Calculation) -> None:
    """What the form shows, sent again, gives the same page: the address can be kept or sent."""
    first = page_of(browser, calculation, dict(calculation.example))
    form = first.context["form"]
    typed = {field.name: field.value() for field in form}
    again = page_of(browser, calculation, typed)
    assert again.status_code == 200
    assert again.context["answer"].says == first.context["answer"].says
    assert again.context["answer"].results == first.context["answer"].results
    assert [field.value() for field in again.context["form"]] == list(typed.values())


@EVERY
def test_a_page_costs_the_session_and_the_user(
    browser: Browser, calculation: Calculation, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(2):
        page_of(browser, calculation)


@EVERY
def test_drawings_have_a_title_and_unlike_ids(browser: Browser, calculation: Calculation) -> None:
    page = page_of(browser, calculation).content.decode()
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert page.count('role="img"') == len(re.findall(r'<title id="[^"]+-title">[^<]+</title>', page))


@EVERY
def test_without_signing_in_there_is_only_the_way_to_sign_in(db: None, calculation: Calculation) -> None:
    response = page_of(Browser(), calculation)
    assert response.status_code == 302
    assert response.headers["Location"].startswith(reverse("sign-in"))


def test_an_owner_who_only_reads_may_calculate_too(owner: User, sign_in: SignIn) -> None:
    assert page_of(sign_in(owner), CALCULATIONS["cap"]).status_code == 200


def test_an_unknown_calculation_is_not_found(browser: Browser) -> None:
    assert browser.get("/workbench/perpetual-motion/").status_code == 404


def test_nothing_can_be_posted(browser: Browser) -> None:
    assert browser.post(reverse("calculation", args=["cable-loss"])).status_code == 405


def test_the_file_of_a_calculation_without_one_is_not_found(browser: Browser) -> None:
    assert browser.get("/workbench/cable-loss/file/").status_code == 404


def test_examples_are_told_from_what_was_asked(browser: Browser) -> None:
    calculation = CALCULATIONS["cable-loss"]
    assert "Example:</span>" in page_of(browser, calculation).content.decode()
    asked = page_of(browser, calculation, dict(calculation.example)).content.decode()
    assert "Example:</span>" not in asked


def test_an_empty_field_takes_its_default_and_the_field_says_so(browser: Browser) -> None:
    response = page_of(browser, CALCULATIONS["longest-run"], {"load": "8 ohm", "size": "18 AWG", "loss": ""})
    page = response.content.decode()
    assert response.context["answer"].says == "18 AWG may run 11.3\xa0m (37.1\xa0ft) one way for 0.50 dB."
    assert 'placeholder="0.5"' in page
    assert "Left empty: 0.5." in page
