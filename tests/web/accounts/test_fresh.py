"""Sensitive pages ask again after a while, go on where one was, and keep what was typed."""

import re
from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse

from sites.models import User
from tests.web.accounts.conftest import PASSWORD
from tests.web.accounts.totp import totp
from tests.web.conftest import SignIn as Enter
from tests.web.pages import text_of

INVITED = {"username": "nell", "first_name": "Nell", "email": "nell@example.com", "role": "tech"}


@pytest.fixture
def stale(manager: User, sign_in: Enter) -> Browser:
    """A manager who signed in an hour ago."""
    browser = sign_in(manager)
    session = browser.session
    session["proved_at"] -= 3600
    session.save()
    return browser


def test_looking_asks_and_leads_back_to_the_page(stale: Browser) -> None:
    address = f"{reverse('person-new')}?from=here"
    asked = stale.get(address)
    assert asked.status_code == 403
    assert "Is it still you?" in text_of(asked)
    done = stale.post(address, {"proof": PASSWORD, "proof_for": "GET"})
    assert done.headers["Location"] == address
    assert "Invite a person" in text_of(stale.get(address))


def test_what_was_typed_is_kept_and_goes_through(stale: Browser) -> None:
    asked = stale.post(reverse("person-new"), {**INVITED, "a_password": "not to be echoed"})
    assert asked.status_code == 403
    assert not User.objects.filter(username="nell").exists()
    page = asked.content.decode()
    assert "not to be echoed" not in page
    kept = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', page))
    assert kept.items() >= INVITED.items()
    wrong = stale.post(reverse("person-new"), {**kept, "proof": "wrong"})
    assert wrong.status_code == 403
    assert "This is not your password" in text_of(wrong)
    assert not User.objects.filter(username="nell").exists()
    assert stale.post(reverse("person-new"), {**kept, "proof": PASSWORD}).status_code == 302
    assert User.objects.get(username="nell").email == "nell@example.com"


def test_a_code_of_the_app_is_proof_too(
    stale: Browser, manager: User, set_up: Callable[[User], tuple[bytes, list[str]]]
) -> None:
    key, _ = set_up(manager)
    answer = stale.post(reverse("person-new"), {"proof": totp(key), "proof_for": "GET"})
    assert answer.status_code == 302


def test_guessing_there_is_throttled_like_the_door(stale: Browser) -> None:
    answers = [stale.post(reverse("person-new"), {"proof": "guessed"}).status_code for _ in range(6)]
    assert answers[-1] == 429
    assert stale.post(reverse("person-new"), {"proof": PASSWORD}).status_code == 429


def test_the_admin_asks_before_it_writes(stale: Browser, manager: User) -> None:
    User.objects.update(is_superuser=True, is_staff=True)
    address = f"/admin/client_sites/user/{manager.pk}/change/"
    assert stale.get(address).status_code == 200
    assert stale.post(address, {"username": "other"}).status_code == 403
    manager.refresh_from_db()
    assert manager.username == "mara"
