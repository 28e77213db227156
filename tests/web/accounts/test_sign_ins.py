"""Where a person is signed in, and how that ends."""

import time

from django.test import Client as Browser
from django.urls import reverse
from pytest_django import Settings

from sites.models import AccountEvent, SignIn, User
from tests.web.accounts.conftest import PASSWORD, knock
from tests.web.conftest import SignIn as Enter
from tests.web.pages import text_of

PHONE = "Mozilla/5.0 (Android 14; Mobile; rv:120.0) Gecko/120.0 Two/120.0"


def is_in(browser: Browser) -> bool:
    return browser.get(reverse("today")).status_code == 200


def enter(**extra: str) -> Browser:
    browser = Browser(**extra)
    assert knock(browser=browser).status_code == 302
    return browser


def test_the_page_tells_browsers_and_addresses_and_no_session_key(tess: User) -> None:
    phone = enter(HTTP_USER_AGENT=PHONE, REMOTE_ADDR="203.0.113.5")
    here = enter()
    page = here.get(reverse("account"))
    assert "Two on a phone" in text_of(page)
    assert "from 203.0.113.5" in text_of(page)
    assert text_of(page).count("(this one)") == 1
    for browser in (phone, here):
        assert browser.session.session_key not in page.content.decode()


def test_one_ends_and_the_others_stay(tess: User) -> None:
    phone, here, third = enter(HTTP_USER_AGENT=PHONE), enter(), enter()
    here.post(reverse("sign-in-end", args=[phone.session["ident"]]))
    assert (is_in(phone), is_in(here), is_in(third)) == (False, True, True)
    here.post(reverse("sign-ins-end"))
    assert (is_in(here), is_in(third)) == (True, False)
    assert AccountEvent.objects.filter(what="sign-ins ended", user=tess).count() == 2


def test_nobody_ends_the_sign_in_of_somebody_else(tess: User, manager: User, sign_in: Enter) -> None:
    theirs = enter()
    other = sign_in(manager)
    assert other.post(reverse("sign-in-end", args=[theirs.session["ident"]])).status_code == 404
    assert is_in(theirs)


def test_a_manager_ends_every_sign_in_of_a_person(tess: User, manager: User, sign_in: Enter) -> None:
    theirs = enter()
    theirs_page = sign_in(manager).post(reverse("person-sign-out", args=[tess.pk]), follow=True)
    assert "that ended: 1" in text_of(theirs_page)
    assert not is_in(theirs)


def test_a_new_password_ends_every_other_sign_in(tess: User) -> None:
    phone, here = enter(), enter()
    new = "stapled garden umbrella"
    form = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    assert here.post(reverse("password-change"), form).status_code == 302
    assert (is_in(phone), is_in(here)) == (False, True)
    assert SignIn.objects.filter(user=tess).count() == 1
    assert knock(new).status_code == 302
    assert knock().status_code == 200


def test_a_sign_in_ends_after_its_longest_time_and_after_idle_time(tess: User, settings: Settings) -> None:
    old, idle, young = enter(), enter(), enter()
    session = old.session
    session["signed_in_at"] = int(time.time()) - settings.SIGN_IN_SECONDS - 5
    session.save()
    SignIn.objects.filter(session_key=idle.session.session_key).update(expire_date="2026-01-01T00:00Z")
    assert (is_in(old), is_in(idle), is_in(young)) == (False, False, True)


def test_looking_at_pages_moves_the_end_once_a_minute(tess: User) -> None:
    browser = enter()
    row = SignIn.objects.get(user=tess)
    browser.get(reverse("today"))
    assert SignIn.objects.get(user=tess).expire_date == row.expire_date
    session = browser.session
    session["seen_at"] -= 120
    session.save()
    before = SignIn.objects.get(user=tess)
    browser.get(reverse("today"))
    after = SignIn.objects.get(user=tess)
    assert after.seen_at is not None and before.seen_at is not None
    assert after.seen_at > before.seen_at
    assert after.expire_date > before.expire_date


def test_the_session_gets_a_new_key_at_the_door(tess: User) -> None:
    browser = Browser()
    session = browser.session
    session["left"] = "here"
    session.save()
    before = browser.session.session_key
    knock(browser=browser)
    assert browser.session.session_key != before
    assert not SignIn.objects.filter(session_key=before).exists()
