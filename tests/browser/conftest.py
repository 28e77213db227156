"""Debian's Chromium, driven by Playwright against the live server."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from registry.demo.factories import UserFactory
from sites.models import Role

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
]
PASSWORD = "a-long-password-for-tests"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip what needs a browser where there is none."""
    if not CHROMIUM.exists():
        for item in items:
            if "tests/browser" in str(item.path):
                item.add_marker(pytest.mark.skip(reason="Chromium is not installed here (/usr/bin/chromium)"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    # Playwright runs an event loop, in which Django would refuse its (synchronous) database calls.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()


class Complaints(list[str]):
    """What the browser complained about: console errors, policy violations, failed requests."""


@pytest.fixture
def complaints() -> Complaints:
    return Complaints()


@pytest.fixture(params=[390, 1280], ids=["phone", "desk"])
def context(request: pytest.FixtureRequest, chromium: Browser) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport={"width": request.param, "height": 844})
    context.set_default_timeout(20_000)
    yield context
    context.close()


@pytest.fixture
def page(context: BrowserContext, complaints: Complaints) -> Page:
    page = context.new_page()
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    return page


@pytest.fixture
def signed_in(page: Page, live_server: object) -> Page:
    tech = UserFactory(role=Role.TECH, username="tech")
    tech.set_password(PASSWORD)
    tech.save()
    page.goto(f"{live_server}/")
    page.get_by_label("Username").fill("tech")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{live_server}/")
    return page
