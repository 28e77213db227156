"""Error pages say what happened and what to do; a failing server needs neither database nor stylesheet."""

from html import unescape
from typing import Any

import pytest
from django.db import InterfaceError, OperationalError
from django.template.loader import render_to_string
from django.test import Client as Browser
from django.urls import reverse

from registry.web.errors import AWAY
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, heading_of


def test_a_missing_page_says_so(browser: Browser) -> None:
    response = browser.get("/no-such-page/")
    assert response.status_code == 404
    assert heading_of(response) == "There is nothing here"


def test_a_reader_who_tries_to_write_is_told_why(site: Site, owner: User, sign_in: SignIn) -> None:
    response = sign_in(owner).get(reverse("site-edit", args=[site.code]))
    assert response.status_code == 403
    assert answer_of(response) == "Your account can read this, but not change it."


def test_a_form_without_its_token_is_refused_in_plain_words(tech: User) -> None:
    browser = Browser(enforce_csrf_checks=True)
    browser.force_login(tech)
    response = browser.post(reverse("client-new"), {"name": "Mill Street Bakery"})
    assert response.status_code == 403
    assert heading_of(response) == "This form was open for too long"


@pytest.mark.parametrize(
    ("template", "words"),
    [
        ("400.html", "This request can't be read"),
        ("500.html", "Something went wrong on our side"),
    ],
)
def test_the_plain_pages_stand_alone(template: str, words: str) -> None:
    page = unescape(render_to_string(template, {"trouble": AWAY}))
    assert words in page
    assert "stylesheet" not in page
    assert "{%" not in page


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (RuntimeError("hush"), 500, "Something went wrong on our side"),
        (OperationalError("hush"), 503, "The register can't answer just now"),
        (InterfaceError("hush"), 503, "The register can't answer just now"),
    ],
)
def test_a_fault_is_told_with_its_number_and_nothing_else(
    monkeypatch: pytest.MonkeyPatch, error: Exception, status: int, words: str, db: None
) -> None:
    def fail(*_: Any) -> None:
        raise error

    monkeypatch.setattr("registry.web.accounts.sign_in_views.SignIn.get_context_data", fail)
    response = Browser(raise_request_exception=False).get(reverse("sign-in"))
    assert response.status_code == status
    page = unescape(response.content.decode())
    assert words in page
    assert response.headers["X-Request-ID"] in page
    assert "hush" not in page
    assert response.headers.get("Retry-After") == ("30" if status == 503 else None)
