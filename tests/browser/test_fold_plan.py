"""A fold plan in a real browser: recomputed at once, without JavaScript too, kept, accepted, wired."""

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from registry.audio.models import Line
from registry.planning.fold_plans import standing_now
from registry.planning.models import FoldPlan
from sites.models import User
from tests.browser.conftest import PASSWORD, Complaints
from tests.browser.test_main_job import no_sideways_scroll
from tests.planning.nine_zones import make_site

pytestmark = pytest.mark.django_db(transaction=True)


def test_changed_at_once_kept_accepted_wired(signed_in: Page, live_server: object, complaints: Complaints) -> None:
    page = signed_in
    make_site(User.objects.get(username="tech"))
    page.goto(f"{live_server}/sites/millrace/fold-plan/")
    says = page.locator("#says")
    expect(says).to_contain_text("nine zones")
    assert no_sideways_scroll(page)
    page.get_by_label("Terrace", exact=True).uncheck()
    expect(says).to_contain_text("eight zones")
    assert "asked=1" in page.url
    wanted = page.locator(".fold-zone", has=page.get_by_label("Foyer", exact=True)).get_by_label("Wanted level (dB(A))")
    wanted.fill("loud")
    wanted.press("Tab")
    expect(says).to_contain_text("Correct one field first")
    expect(page.locator(".slot .error")).to_contain_text("cannot read 'loud'")
    wanted.fill("61")
    wanted.press("Tab")
    expect(says).to_contain_text("eight zones")
    expect(page.locator(".slot .error")).to_have_count(0)
    assert no_sideways_scroll(page)

    page.get_by_role("button", name="Keep this plan").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Plan 1:")
    assert no_sideways_scroll(page)
    page.get_by_role("link", name="Accept", exact=True).click()
    page.get_by_label("Who agreed, and to what").fill("The owner")
    page.get_by_role("button", name="Accept it").click()
    expect(page.get_by_text("Accepted, not wired yet.")).to_be_visible()
    page.get_by_role("link", name="Wiring sheet", exact=True).first.click()
    expect(page.get_by_text("Measure each line before connecting it.")).to_be_visible()
    assert no_sideways_scroll(page)
    page.go_back()
    page.get_by_role("link", name=re.compile("It is wired")).click()
    assert no_sideways_scroll(page)
    page.get_by_role("button", name="Put it into the register").click()
    expect(page.get_by_text("Plan 1 is in the register.")).to_be_visible()
    assert standing_now(FoldPlan.objects.get()).word == "wired"
    assert set(Line.objects.filter(amplifier__name="Old amplifier").values_list("name", flat=True)) == {"L9 Terrace"}
    assert complaints == []


def test_without_javascript_the_form_is_sent_and_answers_the_same(
    signed_in: Page, chromium: Browser, live_server: object
) -> None:
    make_site(User.objects.get(username="tech"))
    context = chromium.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{live_server}/sign-in/?next=/sites/millrace/fold-plan/")
    page.get_by_label("Username").fill("tech")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.locator("#says")).to_contain_text("nine zones")
    page.get_by_label("Terrace", exact=True).uncheck()
    page.get_by_role("button", name="Compute").click()
    expect(page.locator("#says")).to_contain_text("eight zones")
    assert "asked=1" in page.url
    context.close()
