"""A stranger finds nothing of a call, an owner reads what was said and what it was, nobody else gets in."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.visits.models import CallNote, ServiceCall
from registry.web.calls.urls import urlpatterns
from sites.models import User
from tests.web.conftest import SignIn
from tests.web.pages import csv_of

READ = ("calls", "call")
WRITE = (
    "call-edit",
    "call-answered",
    "call-said",
    "call-unsaid",
    "call-changed",
    "call-level",
    "call-impedance",
    "call-visit",
    "call-note",
    "call-close",
    "site-call-new",
)
ANYWHERE = ("call-new",)
OURS = ("Sam at the bar", "01632", "power cut", "landlord", "dial moved", "Likely faults", "Management")


def address(name: str, call: ServiceCall) -> str:
    args = {"calls": [], "call-new": [], "site-call-new": [call.site.code]}.get(name, [call.pk])
    return reverse(name, args=args)


def test_every_route_of_this_subject_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == set(READ + WRITE + ANYWHERE)


def test_a_stranger_gets_404_and_an_empty_list(call: ServiceCall, stranger: User, sign_in: SignIn) -> None:
    browser = sign_in(stranger)
    for name in ("call", *WRITE):
        assert browser.get(address(name, call)).status_code == 404, name
        assert browser.post(address(name, call), {}).status_code == 404, name
    page = browser.get(reverse("calls"))
    assert page.status_code == 200 and "No music" not in page.content.decode()
    assert browser.get(reverse("call-new")).status_code == 403


@pytest.mark.parametrize("state", ["call", "closed"])
def test_an_owner_reads_what_was_said_and_what_it_was(
    state: str, owner: User, sign_in: SignIn, request: pytest.FixtureRequest
) -> None:
    found: ServiceCall = request.getfixturevalue(state)
    browser = sign_in(owner)
    page = browser.get(address("call", found)).content.decode()
    listed = browser.get(reverse("calls")).content.decode()
    exported = "\n".join(csv_of(browser.get(f"{reverse('calls')}?export=csv")))
    for text in (page, listed, exported):
        assert "No music in the bar" in text
        assert ("The dial stood at 20 %." in text) == (state == "closed")
        for ours in OURS:
            assert ours not in text, ours
    assert page.count('method="post"') == 1  # signing out


def test_an_owner_who_tries_to_write_gets_403(call: ServiceCall, owner: User, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    for name in WRITE + ANYWHERE:
        assert browser.get(address(name, call)).status_code == 403, name
        assert browser.post(address(name, call), {}).status_code == 403, name
    call.refresh_from_db()
    assert call.is_open and call.visit is None and not CallNote.objects.exists()


@pytest.mark.parametrize("state", ["call", "closed"])
def test_a_tech_gets_a_page_or_is_led_to_one(state: str, browser: Browser, request: pytest.FixtureRequest) -> None:
    found: ServiceCall = request.getfixturevalue(state)
    for name in READ + WRITE + ANYWHERE:
        assert browser.get(address(name, found), follow=True).status_code == 200, name


def test_without_signing_in_everything_leads_to_the_door(call: ServiceCall) -> None:
    for name in READ + WRITE + ANYWHERE:
        response = Browser().get(address(name, call))
        assert response.status_code == 302, name
        assert response.headers["Location"].startswith(reverse("sign-in")), name
