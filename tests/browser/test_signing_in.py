"""Turning a second factor on with the key on the page, signing in with it, and ending the other sign-in."""

import re
import time
from base64 import b32decode

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PASSWORD, Complaints
from tests.web.accounts.totp import totp

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("context", [390], ids=["phone"], indirect=True)
def test_a_second_factor_on_the_phone_and_one_sign_in_ended(
    signed_in: Page, chromium: Browser, live_server: object, complaints: Complaints
) -> None:
    page = signed_in
    page.goto(f"{live_server}/account/second-factor/")
    key = b32decode(page.locator("code.key").inner_text().replace(" ", ""))
    page.get_by_label("Code that the app shows now").fill(totp(key, at=time.time() - 30))
    page.get_by_role("button", name="Turn it on").click()
    expect(page.locator(".codes code")).to_have_count(10)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")

    other = chromium.new_context(user_agent="Mozilla/5.0 (X11) Gecko/120.0 Two/120.0").new_page()
    other.goto(f"{live_server}/account/")
    other.get_by_label("Username").fill("tech")
    other.get_by_label("Password").fill(PASSWORD)
    other.get_by_role("button", name="Sign in").click()
    other.get_by_label("Code").fill(totp(key))
    other.get_by_role("button", name="Sign in").click()
    expect(other.get_by_role("heading", level=1)).to_have_text("Your account")

    page.goto(f"{live_server}/account/")
    page.get_by_role("button", name=re.compile("^End the sign-in with Two on a computer")).click()
    expect(page.get_by_text("The sign-in with Two on a computer has ended.")).to_be_visible()
    other.reload()
    expect(other.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert not complaints
