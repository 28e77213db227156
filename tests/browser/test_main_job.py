"""The main job in a real browser, on a phone and at a desk: import, look, freeze, restore, prove."""

import io
import re
import zipfile

import pytest
from playwright.sync_api import Page, expect

from registry.audio.models import Line, Zone
from registry.baselines.models import Baseline, Reading, Restore
from tests.browser.conftest import Complaints
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db(transaction=True)


def zipped() -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for name, text in survey().items():
            archive.writestr(f"acre/{name}", text)
    return content.getvalue()


def no_sideways_scroll(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))


def answer_every_setting(page: Page) -> None:
    while page.get_by_role("button", name=re.compile("^Set to")).count():
        before = page.get_by_role("button", name=re.compile("^Set to")).count()
        with page.expect_navigation():
            page.get_by_role("button", name=re.compile("^Set to")).first.click()
        if page.get_by_role("button", name=re.compile("^Set to")).count() >= before:
            break


def test_sign_in_import_look_freeze_restore_and_prove(
    signed_in: Page, live_server: object, complaints: Complaints
) -> None:
    page = signed_in
    page.goto(f"{live_server}/survey/import/")
    page.set_input_files("input[type=file]", {"name": "acre.zip", "mimeType": "application/zip", "buffer": zipped()})
    page.get_by_role("button", name="Show what it would do").click()
    expect(page.get_by_text("28 new, 0 changed")).to_be_visible()
    assert not Line.objects.exists()
    page.get_by_role("button", name="Import it").first.click()
    page.wait_for_load_state()
    assert Line.objects.count() == 2

    page.goto(f"{live_server}/search/?q=green acre")
    page.get_by_role("main").get_by_role("link", name=re.compile("Green Acre shop")).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Green Acre shop")
    assert no_sideways_scroll(page)
    page.get_by_role("main").get_by_role("link", name="L1").first.click()
    expect(page.get_by_text("one open coil silences LS1 and LS2").first).to_be_visible()
    expect(page.locator("svg[role=img]").first).to_be_attached()
    assert no_sideways_scroll(page)

    page.goto(f"{live_server}/sites/acre/baselines/freeze/")
    page.get_by_label("Why now").fill("Commissioning")
    page.get_by_role("button", name="Freeze baseline 1").click()
    page.wait_for_load_state()
    assert Baseline.objects.get().reason == "Commissioning"

    page.goto(f"{live_server}/sites/acre/")
    page.get_by_role("button", name=re.compile("Restore to it")).click()
    page.wait_for_load_state()
    restore = Restore.objects.get()
    assert page.url.split("#")[0].endswith(f"/restores/{restore.pk}/")
    assert no_sideways_scroll(page)
    answer_every_setting(page)
    for name, level in (("Shop", "62.6"), ("Yard", "72")):
        form = page.locator("form.reading-form").filter(has=page.get_by_role("button", name="Record as left"))
        zone = Zone.objects.get(name=name)
        form = form.filter(has=page.locator(f"input[name$=zone][value='{zone.pk}']"))
        form.locator("input[name$=level_db]").fill(level)
        with page.expect_navigation():
            form.get_by_role("button", name="Record as left").click()
    assert dict(Zone.objects.values_list("name", "drift")) == {"Shop": "within", "Yard": "out"}
    expect(page.get_by_text("Zones: 1 within tolerance, 1 out of tolerance.")).to_be_visible()
    page.get_by_label("Your name").fill("T. Tech")
    page.get_by_role("button", name="Sign and close").click()
    page.wait_for_load_state()
    restore.refresh_from_db()
    assert restore.signature == "T. Tech"
    assert Reading.objects.filter(restore=restore).count() == 2
    assert complaints == []


def test_a_broken_survey_is_told_in_the_browser_and_writes_nothing(signed_in: Page, live_server: object) -> None:
    page = signed_in
    page.goto(f"{live_server}/survey/import/")
    broken = survey(spaces='site,space,ceiling_m\nacre,Shop,"1,5 m"\n')["spaces.csv"]
    page.set_input_files("input[type=file]", {"name": "spaces.csv", "mimeType": "text/csv", "buffer": broken})
    page.get_by_role("button", name="Show what it would do").click()
    expect(page.get_by_text("write 1.5 m: use a point, not a comma")).to_be_visible()
    assert not Line.objects.exists()
