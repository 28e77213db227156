"""A site is commissioned on a phone, interrupted, and taken up again by somebody else on another phone."""

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from registry.audio.models import Zone
from registry.baselines.models import Baseline, Reading
from registry.demo.factories import UserFactory
from registry.exchange.importing import import_survey
from registry.planning.models import Commissioning
from sites.models import Role, Site
from tests.browser.conftest import PASSWORD
from tests.browser.test_main_job import no_sideways_scroll
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db(transaction=True)


def another_phone(chromium: Browser, live_server: object) -> Page:
    """Sign somebody else in, on a device that has seen nothing of the run."""
    other = UserFactory(role=Role.TECH, username="other")
    other.set_password(PASSWORD)
    other.save()
    page = chromium.new_context(viewport={"width": 390, "height": 844}).new_page()
    page.goto(f"{live_server}/")
    page.get_by_label("Username").fill("other")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{live_server}/")
    return page


def measure_the_line(page: Page) -> None:
    page.locator("[name$=impedance_ohm]").fill("16.5")
    page.locator("[name$=frequency_hz]").fill("1000")
    page.get_by_role("button", name="Record the impedance").click()
    page.wait_for_load_state()
    page.locator("[name$=polarity]").first.check()
    page.get_by_role("button", name="Record the polarity").click()
    page.wait_for_load_state()


def read(page: Page, button: str, *, dial: str, cap: str, level: str) -> None:
    form = page.locator("form.reading-form").filter(has=page.get_by_role("button", name=button))
    for name, value in (("dial", dial), ("cap", cap), ("level_db", level), ("background_db", "40")):
        form.locator(f"[name$={name}]").fill(value)
    form.get_by_role("button", name=button).click()
    page.wait_for_load_state()


@pytest.mark.parametrize("context", [390], indirect=True, ids=["phone"])
def test_interrupted_on_one_phone_and_finished_on_another(
    signed_in: Page, chromium: Browser, live_server: object
) -> None:
    files = {name: text for name, text in survey().items() if name not in {"levels.csv", "settings.csv"}}
    import_survey(files, by=None)
    page = signed_in
    page.goto(f"{live_server}/sites/acre/commissionings/")
    page.get_by_role("button", name="Start commissioning").click()
    page.wait_for_load_state()
    run = Commissioning.objects.get()
    page.goto(f"{live_server}/commissionings/{run.pk}/track/")
    page.get_by_label("Name").fill("Track 1")
    page.set_input_files("input[type=file]", {"name": "track.wav", "mimeType": "audio/wav", "buffer": b"RIFF" * 100})
    page.get_by_role("button", name="Save the track").click()
    page.goto(f"{live_server}/commissionings/{run.pk}/")
    page.get_by_role("link", name=re.compile("^L1")).first.click()
    assert no_sideways_scroll(page)
    measure_the_line(page)
    page.context.close()

    page = another_phone(chromium, live_server)
    page.goto(f"{live_server}/sites/acre/commissionings/")
    page.goto(f"{live_server}/commissionings/{run.pk}/")
    expect(page.get_by_text("Where you were")).to_contain_text("L1")
    page.get_by_role("link", name=re.compile("^Shop")).first.click()
    read(page, "Record as found", dial="30", cap="100", level="62")
    page.locator("[name$=wanted_db]").fill("62")
    page.get_by_role("button", name="Propose").click()
    # 30 % uncapped is a cap of 60 % at the default position of 50 % (common practice).
    expect(page.get_by_text(re.compile(r"60\s%")).first).to_be_visible()
    assert no_sideways_scroll(page)
    read(page, "Record this reading", dial="50", cap="60", level="62")
    page.get_by_role("button", name=re.compile("^Accept reading")).click()
    page.wait_for_load_state()
    left = Reading.objects.get(state="as left")
    assert (left.dial, left.cap, left.level_db, left.recorded_by.username) == (50.0, 60.0, 62.0, "other")

    page.goto(f"{live_server}/commissionings/{run.pk}/")
    page.get_by_role("link", name=re.compile("^Amplifier 1")).first.click()
    page.locator("[name$=passed]").first.check()
    page.locator("[name$=says]").fill("It returns to the stream at the cap")
    page.get_by_role("button", name="Record the power-cut test").click()
    page.goto(f"{live_server}/commissionings/{run.pk}/freeze/")
    page.get_by_label("Why now").fill("Commissioning")
    page.locator("[name$=with_exceptions]").check()
    page.get_by_label("Your name").fill("O. Ther")
    page.get_by_role("button", name="Sign and freeze").click()
    page.wait_for_load_state()
    baseline = Baseline.objects.get(site=Site.objects.get())
    assert baseline.content["zones"]["Shop"]["level_db"] == 62.0
    assert any("Yard" in told for told in baseline.exceptions)
    page.goto(f"{live_server}/commissionings/{run.pk}/hand-over/")
    page.get_by_label("To whom").fill("Manager on duty")
    page.get_by_role("button", name="Hand over and close").click()
    page.wait_for_load_state()
    run.refresh_from_db()
    assert run.handed_to == "Manager on duty"
    assert Zone.objects.get(name="Shop").drift == "not measured"
    page.context.close()
