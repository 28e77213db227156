"""Every address of this subject × every role: a stranger finds nothing, an owner reads theirs and writes nothing."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.visits.feeds import MadeFeed
from registry.visits.models import Holiday, MovedDate, Visit, VisitPlan
from registry.web.visit_plans.urls import urlpatterns
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.visit_plans.conftest import THIRD

ANYONE_READS = ("visits", "holidays")
READ = ("visit-plan",)
WRITE = (
    "visit-move",
    "visit-call-off",
    "visit-new",
    "site-plan-new",
    "plan-preview",
    "site-hours",
    "client-plan-new",
    "visit-plan-edit",
    "visit-plan-end",
    "plan-date-schedule",
    "plan-date-move",
    "plan-date-put-back",
    "holiday-remove",
)
# One's own addresses only: who never goes anywhere has none, and nobody finds another one's.
OWN = ("calendar-feeds", "calendar-feed-revoke")
OPEN = ("calendar-feed",)


@pytest.fixture
def addresses(
    plan: VisitPlan, visit: Visit, moved: MovedDate, holiday: Holiday, feed: MadeFeed, site: Site
) -> dict[str, str]:
    dated = [plan.pk, site.code, THIRD]
    args: dict[str, list[object]] = {
        **{name: [] for name in (*ANYONE_READS, "calendar-feeds")},
        **{name: [site.code] for name in ("visit-new", "site-plan-new", "plan-preview", "site-hours")},
        **{name: [plan.pk] for name in ("visit-plan", "visit-plan-edit", "visit-plan-end")},
        **dict.fromkeys(("plan-date-schedule", "plan-date-move"), dated),
        **{name: [visit.pk] for name in ("visit-move", "visit-call-off")},
        "client-plan-new": [site.client_id],
        "plan-date-put-back": [moved.pk],
        "holiday-remove": [holiday.pk],
        "calendar-feed-revoke": [feed.feed.pk],
        "calendar-feed": [feed.secret],
    }
    return {name: reverse(name, args=given) for name, given in args.items()}


def test_every_route_of_this_subject_is_in_the_table(addresses: dict[str, str]) -> None:
    assert {pattern.name for pattern in urlpatterns} == set(ANYONE_READS + READ + WRITE + OWN + OPEN) == set(addresses)


def test_a_stranger_finds_nothing(addresses: dict[str, str], stranger: User, sign_in: SignIn) -> None:
    browser = sign_in(stranger)
    for name in READ + WRITE:
        assert browser.get(addresses[name]).status_code == 404, name
        assert browser.post(addresses[name], {}).status_code == 404, name
    for name in ANYONE_READS:
        assert "North Hall" not in browser.get(addresses[name]).content.decode(), name


def test_an_owner_reads_and_writes_nothing(addresses: dict[str, str], owner: User, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    for name in READ + ANYONE_READS:
        page = browser.get(addresses[name])
        assert page.status_code == 200, name
        # The only form that sends anything is the one that signs out.
        assert page.content.decode().count('method="post"') == 1, name
    for name in (*WRITE, *OWN):
        assert browser.post(addresses[name], {}).status_code == 403, name
        assert browser.get(addresses[name]).status_code == 403, name
    assert browser.post(addresses["holidays"], {}).status_code == 403


def test_a_tech_gets_a_page_or_is_led_to_one(addresses: dict[str, str], browser: Browser) -> None:
    for name in ANYONE_READS + READ + WRITE + OWN:
        assert browser.get(addresses[name], follow=True).status_code == 200, name


def test_without_signing_in_only_the_secret_address_answers(addresses: dict[str, str]) -> None:
    browser = Browser()
    for name in ANYONE_READS + READ + WRITE + OWN:
        response = browser.get(addresses[name])
        assert (response.status_code, response.headers["Location"].split("?")[0]) == (302, reverse("sign-in")), name
    assert browser.get(addresses["calendar-feed"]).status_code == 200
    assert browser.post(addresses["calendar-feed"]).status_code in {403, 405}


def test_nobody_revokes_the_address_of_somebody_else(addresses: dict[str, str], sign_in: SignIn) -> None:
    from registry.demo.factories import UserFactory

    assert sign_in(UserFactory()).post(addresses["calendar-feed-revoke"]).status_code == 404
    assert Browser().get(addresses["calendar-feed"]).status_code == 200
