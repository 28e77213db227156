"""A stranger finds nothing of a visit, an owner reads theirs and can't write, nobody else gets in."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.visits.guests import make_guest_link
from registry.visits.models import Finding, Visit
from registry.web.visits.urls import urlpatterns
from sites.models import User
from tests.web.conftest import SignIn

READ = ("visit", "visit-task", "visit-photo", "visit-report", "visit-report-pdf", "findings", "finding")
WRITE = (
    "visit-begin",
    "visit-level",
    "visit-impedance",
    "visit-photo-new",
    "visit-part-new",
    "part-correct",
    "visit-close",
    "visit-addendum",
    "visit-finding-new",
    "visit-guests",
    "guest-link-revoke",
    "finding-new",
    "finding-edit",
    "finding-close",
    "finding-open-again",
)
GUEST = ("guest-report", "guest-report-pdf", "guest-photo")
PICTURES = ("visit-photo", "visit-report-pdf")


@pytest.fixture
def finding(closed: Visit) -> Finding:
    return closed.findings.get(severity="degraded", internal=False)


@pytest.fixture
def addresses(closed: Visit, finding: Finding, tech: User) -> dict[str, str]:
    task = {kind: closed.tasks.get(kind=kind).pk for kind in ("controls", "levels", "impedance")}
    own = {
        "visit-task": [closed.pk, task["controls"]],
        "visit-level": [closed.pk, task["levels"]],
        "visit-impedance": [closed.pk, task["impedance"]],
        "visit-photo": [finding.photos.get().pk],
        "part-correct": [closed.parts.get().pk],
        "guest-link-revoke": [make_guest_link(by=tech, visit=closed, for_whom="manager", days=7).link.pk],
        "finding-new": [closed.site.code],
        "findings": [],
    }
    findings = {name: [finding.pk] for name in READ + WRITE if name.startswith("finding") and name not in own}
    args = {name: [closed.pk] for name in READ + WRITE} | findings | own
    return {name: reverse(name, args=args[name]) for name in READ + WRITE}


def test_every_route_of_this_subject_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == set(READ + WRITE + GUEST)


def test_a_stranger_gets_404(addresses: dict[str, str], stranger: User, sign_in: SignIn) -> None:
    browser = sign_in(stranger)
    for name in set(READ + WRITE) - {"findings"}:
        assert browser.get(addresses[name]).status_code == 404, name
        assert browser.post(addresses[name], {}).status_code == 404, name


def test_an_owner_reads_what_is_theirs_and_is_offered_nothing(
    addresses: dict[str, str], owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    for name in READ:
        response = browser.get(addresses[name])
        assert response.status_code == 200, name
        if name not in PICTURES:
            # The only form that sends anything is the one that signs out.
            assert response.content.decode().count('method="post"') == 1, name
            assert "difficult" not in response.content.decode(), name


def test_an_owner_who_tries_to_write_gets_403(addresses: dict[str, str], owner: User, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    for name in (*WRITE, "visit-task"):
        assert browser.post(addresses[name], {}).status_code == 403, name
        if name != "visit-task":
            assert browser.get(addresses[name]).status_code == 403, name


def test_a_tech_gets_a_page_or_is_led_to_one(addresses: dict[str, str], browser: Browser) -> None:
    for name in READ + WRITE:
        assert browser.get(addresses[name], follow=True).status_code == 200, name


def test_without_signing_in_everything_leads_to_the_door(addresses: dict[str, str]) -> None:
    for name in READ + WRITE:
        response = Browser().get(addresses[name])
        assert response.status_code == 302, name
        assert response.headers["Location"] == f"{reverse('sign-in')}?next={addresses[name]}"


def test_an_owner_finds_nothing_internal(closed: Visit, stranger: User, owner: User, sign_in: SignIn) -> None:
    secret = closed.findings.get(internal=True)
    browser = sign_in(owner)
    assert browser.get(reverse("finding", args=[secret.pk])).status_code == 404
    assert browser.get(reverse("visit-photo", args=[secret.photos.get().pk])).status_code == 404
    assert "North Hall" not in sign_in(stranger).get(reverse("findings")).content.decode()


def test_a_task_of_another_visit_is_not_found_here(closed: Visit, visit: Visit, browser: Browser) -> None:
    other = closed.tasks.first()
    assert other is not None
    assert browser.post(reverse("visit-task", args=[visit.pk, other.pk]), {"result": "done"}).status_code == 404
