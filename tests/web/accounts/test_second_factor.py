"""Turning a second factor on, signing in with it, losing the phone, being obliged to have one."""

import re
import time
from base64 import b32decode
from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django_otp.plugins.otp_totp.models import TOTPDevice
from pytest_django import Settings

from registry.demo.factories import UserFactory
from sites.models import AccountEvent, RecoveryCode, Role, SignIn, User
from sites.second_factor import digest_of_code
from tests.web.accounts.conftest import knock
from tests.web.accounts.totp import totp
from tests.web.conftest import SignIn as Enter
from tests.web.pages import text_of

SetUp = Callable[[User], tuple[bytes, list[str]]]
CODE = "/sign-in/code/"


def at_the_second_step(username: str = "tess") -> Browser:
    browser = Browser()
    assert knock(username=username, browser=browser).headers["Location"] == reverse("sign-in-code")
    return browser


def is_in(browser: Browser) -> bool:
    return browser.get(reverse("today")).status_code == 200


def test_the_key_on_the_page_turns_it_on_and_the_recovery_codes_are_shown_once(tess: User, sign_in: Enter) -> None:
    browser, other = sign_in(tess), sign_in(tess)
    shown = browser.get(reverse("second-factor-on"))
    typed_key = re.search(r'<code class="key">([A-Z2-7 ]+)</code>', shown.content.decode())
    assert typed_key
    key = b32decode(typed_key[1].replace(" ", ""))
    assert len(key) == 20  # RFC 4226, section 4, R6: 160 bits recommended
    wrong = browser.post(reverse("second-factor-on"), {"code": "12345"})
    assert wrong.status_code == 422
    TOTPDevice.objects.update(throttling_failure_timestamp=None, throttling_failure_count=0)
    done = browser.post(reverse("second-factor-on"), {"code": totp(key)})
    codes = re.findall(r"<code>([a-z2-9-]{29})</code>", done.content.decode())
    assert len(set(codes)) == 10
    assert "no-store" in done.headers["Cache-Control"]
    # Only hashes are kept, this browser stays in, the other one is out.
    assert set(RecoveryCode.objects.values_list("digest", flat=True)) == {digest_of_code(code) for code in codes}
    assert is_in(browser)
    assert not is_in(other)
    assert not any(code in browser.get(reverse("account")).content.decode() for code in codes)
    assert AccountEvent.objects.get(what="second factor on").user == tess


def test_the_password_alone_lets_nobody_in_any_more(tess: User, set_up: SetUp) -> None:
    key, _ = set_up(tess)
    browser = at_the_second_step()
    assert not is_in(browser)
    assert browser.post(CODE, {"code": "000000" if totp(key) != "000000" else "000001"}).status_code == 422
    assert not is_in(browser)


def test_the_code_of_the_app_lets_in_once(tess: User, set_up: SetUp) -> None:
    key, _ = set_up(tess)
    code = totp(key)
    first = at_the_second_step()
    assert first.post(CODE, {"code": f"{code[:3]} {code[3:]}"}).headers["Location"] == reverse("today")
    assert is_in(first)
    second = at_the_second_step()
    replayed = second.post(CODE, {"code": code})
    assert replayed.status_code == 422
    assert not is_in(second)


def test_wrong_codes_make_everybody_wait_whatever_browser_they_use(tess: User, set_up: SetUp) -> None:
    key, _ = set_up(tess)
    app = TOTPDevice.objects.get(user=tess)
    for _ in range(4):
        app.refresh_from_db()
        app.throttling_failure_timestamp = None
        app.save()
        at_the_second_step().post(CODE, {"code": "123456" if totp(key) != "123456" else "654321"})
    refused = at_the_second_step().post(CODE, {"code": totp(key)})
    assert refused.status_code == 422
    assert re.search(r"Wait \d+ s", text_of(refused))
    app.refresh_from_db()
    assert app.throttling_failure_count == 4


def test_a_recovery_code_signs_in_once_in_place_of_the_phone(tess: User, set_up: SetUp) -> None:
    _, codes = set_up(tess)
    browser = at_the_second_step()
    assert browser.post(CODE, {"code": codes[3].upper()}).status_code == 302
    assert "9 left" in text_of(browser.get(reverse("account")))
    again = at_the_second_step()
    assert again.post(CODE, {"code": codes[3]}).status_code == 422
    assert not is_in(again)


def test_the_second_step_is_nothing_without_the_first_and_runs_out(tess: User, set_up: SetUp) -> None:
    key, _ = set_up(tess)
    assert Browser().post(CODE, {"code": totp(key)}).headers["Location"] == reverse("sign-in")
    browser = at_the_second_step()
    session = browser.session
    session["pending_sign_in"] = {**session["pending_sign_in"], "at": int(time.time()) - 601}
    session.save()
    assert browser.post(CODE, {"code": totp(key)}).headers["Location"] == reverse("sign-in")
    assert not is_in(browser)


def test_who_was_shut_out_between_the_steps_stays_outside(tess: User, set_up: SetUp) -> None:
    key, _ = set_up(tess)
    browser = at_the_second_step()
    User.objects.update(is_active=False)
    browser.post(CODE, {"code": totp(key)})
    assert not is_in(browser)


def test_turning_it_off_forgets_the_key_and_the_codes(tess: User, set_up: SetUp, sign_in: Enter) -> None:
    set_up(tess)
    sign_in(tess).post(reverse("second-factor-off"))
    assert not TOTPDevice.objects.exists()
    assert not RecoveryCode.objects.exists()
    assert knock().headers["Location"] == reverse("today")


def test_new_recovery_codes_replace_the_old_ones(tess: User, set_up: SetUp, sign_in: Enter) -> None:
    _, codes = set_up(tess)
    shown = sign_in(tess).post(reverse("recovery-codes")).content.decode()
    assert codes[0] not in shown
    assert RecoveryCode.objects.count() == 10
    assert at_the_second_step().post(CODE, {"code": codes[0]}).status_code == 422


@pytest.mark.parametrize(
    ("obliged", "role", "led"),
    [
        ("off", Role.MANAGER, False),
        ("writers", Role.TECH, True),
        ("writers", Role.OWNER, False),
        ("everyone", Role.OWNER, True),
    ],
)
def test_who_must_have_one_is_led_to_set_it_up(
    obliged: str, role: Role, led: bool, db: None, sign_in: Enter, settings: Settings
) -> None:
    settings.SECOND_FACTOR = obliged
    browser = sign_in(UserFactory(role=role))
    page = browser.get(reverse("today"))
    assert page.status_code == (302 if led else 200)
    if led:
        assert page.headers["Location"] == reverse("second-factor-on")
        assert browser.get(reverse("second-factor-on")).status_code == 200
        assert browser.get(reverse("people")).status_code == 302
        assert browser.post(reverse("sign-out")).headers["Location"] == reverse("sign-in")


def test_who_must_have_one_comes_in_with_it_and_can_not_turn_it_off(
    tess: User, set_up: SetUp, settings: Settings, sign_in: Enter
) -> None:
    settings.SECOND_FACTOR = "writers"
    key, _ = set_up(tess)
    browser = at_the_second_step()
    browser.post(CODE, {"code": totp(key)})
    assert is_in(browser)
    assert browser.post(reverse("second-factor-off")).status_code == 422
    assert TOTPDevice.objects.filter(confirmed=True).exists()
    # A session that only knows the password, from before: out, and through the door again.
    assert sign_in(tess).get(reverse("today")).headers["Location"] == reverse("sign-in")


def test_the_admin_has_no_door_of_its_own(tess: User, set_up: SetUp, settings: Settings) -> None:
    User.objects.update(is_staff=True, is_superuser=True)
    settings.SECOND_FACTOR = "writers"
    set_up(tess)
    form = {"username": "tess", "password": "correct horse battery", "next": "/admin/"}
    at_the_door = Browser().post("/admin/login/", form)
    assert at_the_door.headers["Location"].startswith(reverse("sign-in"))
    browser = at_the_second_step()
    assert browser.get("/admin/").status_code == 302
    assert not SignIn.objects.filter(user=tess).exists()


def test_a_manager_resets_the_second_factor_of_a_lost_phone(
    tess: User, manager: User, set_up: SetUp, sign_in: Enter
) -> None:
    set_up(tess)
    theirs = sign_in(tess)
    sign_in(manager).post(reverse("person-factor-reset", args=[tess.pk]))
    assert not TOTPDevice.objects.exists()
    assert not is_in(theirs)
    event = AccountEvent.objects.get(what="second factor reset")
    assert (event.user, event.by) == (tess, manager)
