"""Searching by keyboard: focus, arrows, Enter, Escape; nothing is loaded or run that the policy forbids."""

import pytest
from playwright.sync_api import Page, expect

from registry.demo.factories import ItemFactory, SiteFactory, ZoneFactory
from tests.browser.conftest import Complaints

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("context", [1280], indirect=True, ids=["desk"])
def test_the_keyboard_finds_and_opens(signed_in: Page, complaints: Complaints) -> None:
    site = SiteFactory(name="North Hall")
    ZoneFactory(site=site, name="Café bar")
    ItemFactory(site=site, tag="CAFE-1", mac="02:00:5e:10:00:01")
    box, below = signed_in.get_by_role("searchbox"), signed_in.locator("#found-below")

    signed_in.keyboard.press("/")
    expect(box).to_be_focused()
    signed_in.keyboard.type("cafe")
    expect(below.get_by_role("link")).to_have_count(2)
    expect(signed_in.get_by_role("status")).to_have_text("2 things fit “cafe”: arrow keys go through them.")

    signed_in.keyboard.press("ArrowDown")
    expect(below.get_by_role("link").nth(0)).to_be_focused()
    signed_in.keyboard.press("Escape")
    expect(below).to_be_hidden()
    expect(box).to_be_focused()
    assert box.input_value() == "cafe"

    box.fill("0200.5e10.0001")
    expect(below.get_by_role("link")).to_have_count(1)
    signed_in.keyboard.press("ArrowUp")
    signed_in.keyboard.press("Enter")
    expect(signed_in.get_by_role("heading", level=1)).to_have_text("CAFE-1")

    signed_in.get_by_role("searchbox").fill("cafe/")
    expect(signed_in.get_by_role("searchbox")).to_have_value("cafe/")
    signed_in.keyboard.press("Enter")
    expect(signed_in.get_by_role("heading", level=1)).to_have_text("Search")
    assert complaints == []
