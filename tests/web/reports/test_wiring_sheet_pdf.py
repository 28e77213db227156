"""The wiring sheet of a fold plan as a PDF: every conductor of the design on its terminal, and how the plan stands."""

from datetime import date

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import MembershipFactory
from registry.demo.garden_centre import load_garden_centre
from registry.engineering.units import show_quantity
from registry.planning.fold_plans import accept_plan, keep_plan, reject_plan
from registry.planning.models import FoldPlan
from registry.reports.wording import SHORT_FORM
from registry.web.planning.wiring_page import wiring_page
from sites.models import User
from tests.planning.asking import kept_for, requested
from tests.reports.papers import reader, squeezed, words_of
from tests.web.conftest import SignIn


@pytest.fixture
def plan(tech: User) -> FoldPlan:
    """Three zones of the garden centre on as few amplifiers as possible, proposed."""
    site = load_garden_centre(by=tech, today=date(2026, 11, 20))
    kept = kept_for(site, requested(site, ["Plant house", "Gift room", "Houseplants"]))
    return keep_plan(by=tech, site=site, title="Old amplifier away", kept=kept, inputs="")


def pdf(plan: FoldPlan) -> str:
    return reverse("wiring-sheet-pdf", args=[plan.pk])


def test_every_conductor_stands_in_the_table_with_its_colour_and_where_it_comes_from(
    browser: Browser, plan: FoldPlan
) -> None:
    response = browser.get(pdf(plan))
    assert response.headers["Content-Disposition"] == 'inline; filename="wiring-sheet-1-sallow-bank.pdf"'
    words = squeezed(words_of(response.content))
    page = wiring_page(plan)
    landings = [landing for shown in page["sheets"] for string in shown.sheet.strings for landing in string.landings]
    assert landings
    for landing in landings:
        row = f"{landing.terminal}{landing.shown_colour}{landing.jumper}{landing.pole} of {landing.loudspeaker}"
        assert squeezed(row) in words
    for shown in page["sheets"]:
        assert squeezed(f"{shown.sheet.place}, channel {shown.sheet.channel}: {shown.sheet.line}") in words
        assert squeezed(f"{show_quantity(shown.load.impedance_ohm, 'ohm', 'metric')}, cable included") in words
    assert words.count("Measuredbeforeconnecting,ohm") == len(page["sheets"])


def test_the_sheet_says_how_the_plan_stands_before_anything_else(browser: Browser, plan: FoldPlan, tech: User) -> None:
    assert "Caution. Proposed: don't wire by this sheet." in words_of(browser.get(pdf(plan)).content)
    accept_plan(by=tech, plan=plan, agreed="the owner")
    assert "Accepted, not wired yet." in words_of(browser.get(pdf(plan)).content)
    reject_plan(by=tech, plan=plan, reason="the owner keeps the old one")
    assert "Caution. Rejected: don't wire by this sheet." in words_of(browser.get(pdf(plan)).content)


def test_cautions_stand_before_the_work_and_on_every_page(browser: Browser, plan: FoldPlan) -> None:
    content = browser.get(pdf(plan)).content
    words = words_of(content)
    assert words.index("Switch the amplifier off and wait") < words.index("Terminal Conductor")
    assert "Fire alarm, voice alarm or emergency paging may run here." in words
    assert squeezed(words).count(squeezed(SHORT_FORM)) == len(reader(content).pages)


def test_an_owner_reads_the_sheet_of_their_site_and_a_stranger_finds_none(
    plan: FoldPlan, stranger: User, sign_in: SignIn
) -> None:
    owner = MembershipFactory(client=plan.site.client).user
    assert sign_in(owner).get(pdf(plan)).status_code == 200
    assert sign_in(stranger).get(pdf(plan)).status_code == 404
