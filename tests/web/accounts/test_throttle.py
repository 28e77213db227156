"""Wrong passwords: counted in the database for one name from one address, whatever the sender claims."""

import logging
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.core.management import call_command
from django.test import RequestFactory
from django.urls import reverse
from pytest_django import Settings

from registry.demo.factories import UserFactory
from registry.web.accounts.address import client_address, throttled_address
from sites.models import SignIn, User
from tests.web.accounts.conftest import PASSWORD, knock
from tests.web.conftest import SignIn as Enter
from tests.web.pages import text_of

LIMIT = 6


def guess(times: int = LIMIT, **extra: Any) -> Any:
    for _ in range(times):
        answer = knock("guessed-secret", **extra)
    return answer


def test_the_sixth_wrong_password_shuts_out_and_even_the_right_one_waits(tess: User) -> None:
    assert guess(LIMIT - 1).status_code == 200
    last = guess(1)
    assert last.status_code == 429
    assert "Wait a quarter of an hour" in text_of(last)
    # A new browser and a restarted server know as much: the count is a row.
    assert knock().status_code == 429
    assert knock(username="TESS ").status_code == 429
    AccessAttempt.objects.update(attempt_time=AccessAttempt.objects.get().attempt_time - timedelta(minutes=16))
    assert knock().status_code == 302


def test_other_people_and_other_addresses_are_not_shut_out(tess: User) -> None:
    UserFactory(username="theo", password=PASSWORD)
    guess()
    assert knock(username="theo").status_code == 302
    assert knock(REMOTE_ADDR="192.0.2.7").status_code == 302


def test_a_success_forgets_the_wrong_ones(tess: User) -> None:
    guess(LIMIT - 1)
    assert knock().status_code == 302
    assert guess(1).status_code == 200


def test_a_made_up_forwarded_address_helps_nobody(tess: User, settings: Settings) -> None:
    for number in range(LIMIT):
        guess(1, HTTP_X_FORWARDED_FOR=f"198.51.100.{number}")
    assert knock(HTTP_X_FORWARDED_FOR="198.51.100.99").status_code == 429
    # Behind the proxy the same trick: what the sender wrote stands left of what the proxy saw.
    AccessAttempt.objects.all().delete()
    settings.BEHIND_PROXY = True
    for number in range(LIMIT):
        guess(1, HTTP_X_FORWARDED_FOR=f"198.51.100.{number}, 203.0.113.5")
    assert knock(HTTP_X_FORWARDED_FOR="198.51.100.99, 203.0.113.5").status_code == 429
    assert knock(HTTP_X_FORWARDED_FOR="203.0.113.6").status_code == 302


@pytest.mark.parametrize(
    ("behind", "forwarded", "remote", "found"),
    [
        (False, "198.51.100.1", "203.0.113.5", "203.0.113.5"),
        (True, "198.51.100.1, 203.0.113.5", "127.0.0.1", "203.0.113.5"),
        (True, "203.0.113.5, 127.0.0.1", "127.0.0.1", "203.0.113.5"),
        (True, "nonsense", "203.0.113.5", "203.0.113.5"),
        (True, "", "203.0.113.5", "203.0.113.5"),
        (True, "", "127.0.0.1", "127.0.0.1"),
        (True, "2001:db8::1", "", "2001:db8::1"),
        (True, "::ffff:203.0.113.5", "", "203.0.113.5"),
        (False, "203.0.113.5", "", ""),
    ],
)
def test_whose_word_counts(behind: bool, forwarded: str, remote: str, found: str, settings: Settings) -> None:
    # Addresses for documentation: RFC 5737 and RFC 3849.
    settings.BEHIND_PROXY = behind
    extra = {"HTTP_X_FORWARDED_FOR": forwarded} if forwarded else {}
    assert client_address(RequestFactory().get("/", REMOTE_ADDR=remote, **extra)) == found


def test_one_sender_can_not_choose_among_their_own_addresses() -> None:
    two = [RequestFactory().get("/", REMOTE_ADDR=text) for text in ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9")]
    assert {throttled_address(request) for request in two} == {"2001:db8:1:2::"}


def test_a_wrong_password_is_written_down_nowhere(tess: User, sign_in: Enter, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    caplog.set_level(logging.DEBUG, logger="axes")
    guess()
    form = {"old_password": "guessed-secret", "new_password1": "typed-secret-1", "new_password2": "typed-secret-1"}
    assert sign_in(tess).post(reverse("password-change"), form).status_code == 429
    kept = " ".join(str(value) for row in AccessAttempt.objects.values() for value in row.values())
    for secret in ("guessed-secret", "typed-secret"):
        assert secret not in caplog.text
        assert secret not in kept
    assert "New login failure" in caplog.text


def test_tidying_forgets_what_has_run_out(tess: User) -> None:
    guess(2)
    AccessAttempt.objects.update(attempt_time=AccessAttempt.objects.get().attempt_time - timedelta(hours=1))
    guess(1, username="theo")
    assert AccessAttempt.objects.count() == 1  # every failure clears what ran out before
    knock()
    SignIn.objects.update(expire_date=SignIn.objects.first().expire_date - timedelta(days=9))  # type: ignore[union-attr]
    said = StringIO()
    call_command("tidy", stdout=said)
    assert "Sign-ins: 1" in said.getvalue()
    assert not SignIn.objects.exists()
