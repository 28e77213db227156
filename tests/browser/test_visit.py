"""A checklist on a phone: tasks open in place, a refusal stays beside its field, progress counts."""

import pytest
from playwright.sync_api import Page, expect

from registry.audio.models import Line
from registry.demo.factories import SiteFactory
from registry.visits.models import TaskKind
from sites.models import User
from tests.browser.conftest import Complaints
from tests.browser.test_main_job import no_sideways_scroll
from tests.visits.visit_work import hall_with_a_line, visit_with_tasks

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("context", [390], indirect=True, ids=["phone"])
def test_a_checklist_in_one_hand(signed_in: Page, live_server: object, complaints: Complaints) -> None:
    line: Line = hall_with_a_line(SiteFactory(name="North Hall"))
    visit = visit_with_tasks(line, User.objects.get(username="tech"))
    page = signed_in
    page.goto(f"{live_server}/visits/{visit.pk}/")
    no_sideways_scroll(page)
    progress = page.locator("#progress")
    expect(progress).to_have_text("0 of 4 tasks, no findings.")

    dials = page.locator(f"#task-{visit.tasks.get(kind=TaskKind.CONTROLS).pk}")
    dials.get_by_role("link").click()
    dials.get_by_label("As found").fill("30 %")
    dials.get_by_text("Not done, or not finished").click()
    dials.get_by_role("button", name="Not done").click()
    expect(dials.get_by_text("Say why it was not done.")).to_be_visible()
    expect(dials.get_by_label("As found")).to_have_value("30 %")
    dials.get_by_role("button", name="In order", exact=True).click()
    expect(progress).to_have_text("1 of 4 tasks, no findings.")

    levels = page.locator(f"#task-{visit.tasks.get(kind=TaskKind.LEVELS).pk}")
    levels.get_by_role("link").click()
    levels.locator("[name=level_db]").fill("62")
    levels.get_by_role("button", name="Record as found").click()
    expect(levels.get_by_role("heading", name="As found")).to_be_visible()
    levels.get_by_role("button", name="In order", exact=True).click()
    expect(progress).to_have_text("2 of 4 tasks, no findings.")
    # A refusal is an answer of status 422, which the browser notes; nothing else may be complained about.
    assert [said for said in complaints if "422" not in said] == []
