"""No signal: a site kept on the phone, entries made without a server, a tab and a browser that end, each sent once."""

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Error, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from registry.baselines.models import Reading
from registry.demo.factories import ClientFactory, SiteFactory, UserFactory
from registry.visits.models import Visit, VisitPhoto
from registry.visits.working import record_task
from sites.models import Receipt, Role, User
from tests.browser.cable import Cable
from tests.browser.conftest import CHROMIUM, FLAGS, PASSWORD
from tests.visits.visit_work import hall_with_a_line, picture, visit_with_tasks

pytestmark = pytest.mark.django_db(transaction=True)

expect.set_options(timeout=15_000)
EMPTY = """async () => {
  const databases = (await indexedDB.databases()).map(({ name }) => name);
  return { caches: await caches.keys(), databases };
}"""

# The next entry is begun while the last one is being stored.
TYPE_ON = """(button) => {
  button.click();
  button.form.elements.found.value = "80 %";
}"""


@pytest.fixture
def cable(live_server: LiveServer, settings: Any, tmp_path: Path) -> Iterator[Cable]:
    settings.MEDIA_ROOT = tmp_path / "media"
    made = Cable(live_server.thread.port)
    yield made
    made.pull()


@pytest.fixture
def tech(db: None) -> User:
    tech = UserFactory(role=Role.TECH, username="tech")
    tech.set_password(PASSWORD)
    tech.save()
    return tech


@pytest.fixture
def visit(tech: User) -> Visit:
    site = SiteFactory(client=ClientFactory(name="North Ltd"), code="north-hall", name="North Hall")
    return visit_with_tasks(hall_with_a_line(site), tech)


def opened(chromium: Browser, folder: Path) -> BrowserContext:
    """A phone: what it keeps lies in `folder` and outlives the browser."""
    context = chromium.browser_type.launch_persistent_context(
        str(folder), executable_path=str(CHROMIUM), args=FLAGS, viewport={"width": 390, "height": 844}
    )
    context.set_default_timeout(15_000)
    return context


@pytest.fixture
def phone(chromium: Browser, tmp_path: Path) -> Iterator[BrowserContext]:
    context = opened(chromium, tmp_path / "phone")
    yield context
    context.close()


def sign_in(page: Page, url: str, path: str = "/", name: str = "tech") -> None:
    page.goto(f"{url}{path}")
    page.get_by_label("Username").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{url}{path}")


def keep(page: Page, url: str) -> None:
    page.goto(f"{url}/sites/north-hall/")
    page.get_by_role("button", name="Keep on this phone").click()
    expect(page.locator("#keep-said")).to_contain_text("Kept on this phone:", timeout=30_000)


def wait_until(page: Page, script: str) -> None:
    for _ in range(150):
        if page.evaluate(script):
            return
        page.wait_for_timeout(200)
    raise AssertionError(script)


def record_level(page: Page, url: str, visit: Visit, level: str) -> None:
    page.goto(f"{url}/visits/{visit.pk}/tasks/{visit.tasks.get(kind='levels').pk}/")
    for name, value in (("level_db", level), ("background_db", "45"), ("dial", "50"), ("meter", "Meter A")):
        page.locator(f"main [name={name}]").fill(value)
    page.locator("main [name=meter_class]").select_option("2")
    page.get_by_role("button", name="Record as found").click()
    expect(page.locator(".phone-mark")).to_contain_text("Waits to be sent")


def test_recorded_in_the_basement_and_sent_once_in_order(
    chromium: Browser, cable: Cable, visit: Visit, tmp_path: Path
) -> None:
    context = opened(chromium, tmp_path / "phone")
    page = context.new_page()
    sign_in(page, cable.url)
    keep(page, cable.url)
    cable.pull()

    before = timezone.now()
    record_level(page, cable.url, visit, "62.5")
    after = timezone.now()
    expect(page.locator("#phone-line")).to_contain_text("Stored copy of")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    controls = visit.tasks.get(kind="controls")
    page.goto(f"{cable.url}/visits/{visit.pk}/tasks/{controls.pk}/")
    page.get_by_label("As found").fill("70 %")
    page.evaluate(TYPE_ON, page.get_by_role("button", name="Not in order").element_handle())
    expect(page.locator(".phone-mark")).to_have_count(1)
    # The same form once more, on the same copy: it doesn't meet its own answer as somebody else's.
    expect(page.get_by_label("As found")).to_have_value("80 %")
    page.get_by_label("As left").fill("50 %")
    page.get_by_role("button", name="Not in order").click()
    expect(page.locator(".phone-mark")).to_have_count(2)
    page.goto(f"{cable.url}/visits/{visit.pk}/photos/new/")
    page.set_input_files("input[type=file]", {"name": "p.jpg", "mimeType": "image/jpeg", "buffer": picture()})
    page.get_by_label("What it shows").fill("The rack")
    page.get_by_role("button", name="Keep the photo").click()
    expect(page.locator("#phone-line")).to_contain_text("4 entries wait to be sent")

    # A label is scanned: a place that is kept opens, one of another site says what to do.
    place = visit.site.places.get()
    page.goto(f"{cable.url}/places/{place.pk}/")
    expect(page.get_by_role("heading", level=1)).to_contain_text(place.name)
    page.goto(f"{cable.url}/places/{place.pk + 1}/")
    expect(page.get_by_role("heading", level=1)).to_have_text("This page is not on this phone")

    # The tab is killed, then the whole browser ends.
    page.goto(f"{cable.url}/visits/{visit.pk}/")
    with contextlib.suppress(Error):
        page.goto("chrome://crash")
    context.close()
    context = opened(chromium, tmp_path / "phone")
    page = context.new_page()
    page.goto(f"{cable.url}/phone/")
    expect(page.locator("#entries > li")).to_have_count(4)

    # The network comes back and goes again with the first answer: the entry arrives twice.
    lost: list[str] = []

    def lose_the_first_answer(route: Route) -> None:
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().text())
            route.abort()

    page.route("**/phone/entries/", lose_the_first_answer)
    cable.plug()
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#sent")).to_contain_text("4 entries wait still")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#sent")).to_contain_text("Nothing waits any more")
    assert '"accepted"' in lost[0]
    (reading,) = Reading.objects.all()
    assert reading.level_db == 62.5
    assert before <= reading.taken_at.replace(microsecond=999_999) <= after.replace(microsecond=999_999)
    assert VisitPhoto.objects.count() == 1
    controls.refresh_from_db()
    assert (controls.found, controls.left, controls.result) == ("80 %", "50 %", "wrong")
    answers = [each.answer["page"] for each in Receipt.objects.order_by("received_at", "pk")]
    assert len(answers) == 4
    assert answers[1] == answers[2] == f"/visits/{visit.pk}/tasks/{controls.pk}/"
    assert answers[3] == f"/visits/{visit.pk}/"

    # The copy is made anew with what was sent, also when its page is left: the next answer meets nobody's change.
    page.goto(f"{cable.url}/")
    wait_until(page, f"async () => (await Store.get('sites', 'north-hall')).made_at > '{after.isoformat()}'")
    cable.pull()
    page.goto(f"{cable.url}/visits/{visit.pk}/tasks/{controls.pk}/")
    expect(page.get_by_label("As left")).to_have_value("50 %")
    context.close()


def test_a_conflict_is_shown_another_person_sees_nothing_and_signing_out_wipes(
    phone: BrowserContext, cable: Cable, visit: Visit
) -> None:
    page = phone.new_page()
    sign_in(page, cable.url)
    keep(page, cable.url)
    controls = visit.tasks.get(kind="controls")
    cable.pull()
    page.goto(f"{cable.url}/visits/{visit.pk}/tasks/{controls.pk}/")
    page.get_by_label("As found").fill("80 %")
    page.get_by_role("button", name="Not in order").click()
    expect(page.locator(".phone-mark")).to_contain_text("Waits to be sent")
    robin = UserFactory(role=Role.TECH, username="robin", password=PASSWORD)
    record_task(by=robin, task=controls, found="70 %", result="done")

    # The sign-in has run out: the copies go, the entry stays, and nobody else sees or sends it.
    cable.plug()
    phone.clear_cookies()
    sign_in(page, cable.url, "/phone/", "robin")
    expect(page.locator("#phone-line")).to_contain_text("1 entry of another person waits here")
    expect(page.locator("#no-entries")).to_be_visible()
    expect(page.locator("#none-kept")).to_be_visible()
    wait_until(page, "async () => !(await caches.keys()).some((name) => name.startsWith('kept-'))")
    phone.clear_cookies()

    sign_in(page, cable.url, "/phone/")
    expect(page.locator("#entries")).to_contain_text("Theirs: as found not known → 70 % (robin")
    expect(page.locator("#entries")).to_contain_text("Yours:")
    controls.refresh_from_db()
    assert controls.found == "70 %"
    page.get_by_role("button", name="Write mine as a new entry").click()
    expect(page.locator("#no-entries")).to_be_visible()
    controls.refresh_from_db()
    assert (controls.found, controls.result) == ("80 %", "wrong")

    # Signing out with an entry that waits is asked about, then leaves nothing.
    keep(page, cable.url)
    cable.pull()
    page.goto(f"{cable.url}/sites/north-hall/findings/new/")
    page.locator("main [name=says]").fill("The cover hangs loose")
    page.locator("main [name=severity]").select_option("degraded")
    page.locator("main [name=follow_up]").select_option("next visit")
    page.get_by_role("button", name="Record the finding").click()
    expect(page.locator(".phone-mark")).to_be_visible()
    page.route("**/phone/entries/", lambda route: route.abort())
    cable.plug()
    page.locator(".account summary").click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("dialog")).to_contain_text("1 entry has not been sent")
    page.get_by_role("button", name="Sign out and lose them").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert page.evaluate(EMPTY) == {"caches": [], "databases": []}
