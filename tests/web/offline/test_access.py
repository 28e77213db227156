"""Who may keep what: a stranger finds no site, an owner keeps no forms, and the app itself says nothing of anybody."""

import time
from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.baselines.models import Restore
from registry.demo.factories import LineFactory, ReadingFactory
from registry.visits.keeping import add_visit_photo
from registry.visits.models import Visit
from registry.web.offline.urls import urlpatterns
from sites.models import Site, User
from sites.second_factor import begin_second_factor, confirm_second_factor
from tests.visits.visit_work import hall_with_a_line, picture, visit_with_tasks
from tests.web.accounts.totp import totp
from tests.web.conftest import SignIn

PUBLIC = ("service-worker", "manifest", "phone-not-kept")
SIGNED_IN = ("phone", "phone-state")
BUNDLE = "/sites/north-hall/phone.json"


def test_every_route_of_this_subject_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == {*PUBLIC, *SIGNED_IN, "site-bundle", "phone-entries"}


def test_who_gets_what(site: Site, tech: User, owner: User, stranger: User, sign_in: SignIn) -> None:
    for name in PUBLIC:
        assert Browser().get(reverse(name)).status_code == 200, name
    for address in (*map(reverse, SIGNED_IN), BUNDLE, reverse("phone-entries")):
        assert Browser().get(address).status_code == 302, address
    for user, status in ((tech, 200), (owner, 200), (stranger, 404)):
        browser = sign_in(user)
        assert browser.get(BUNDLE).status_code == status
        assert all(browser.get(reverse(name)).status_code == 200 for name in SIGNED_IN)
        assert browser.get(reverse("phone-entries")).status_code == 405


def test_everything_that_is_listed_can_be_fetched_and_is_all_there(
    visit: Visit, restore: Restore, zone: Zone, line: Line, browser: Browser, tech: User
) -> None:
    photo = add_visit_photo(by=tech, visit=visit, data=picture())
    urls = browser.get(BUNDLE).json()["urls"]
    wanted = {
        "site": zone.site.code,
        "zone": zone.pk,
        "zone-comparator": zone.pk,
        "line": line.pk,
        "place": line.amplifier_id,
        "baseline": restore.baseline_id,
        "restore-sheet": restore.baseline_id,
        "restore": restore.pk,
        "visit": visit.pk,
        "visit-photo": photo.pk,
        "door-card-page": zone.site.code,
    }
    assert {reverse(name, args=[pk]) for name, pk in wanted.items()} <= set(urls)
    assert {reverse("visit-task", args=[visit.pk, task.pk]) for task in visit.tasks.all()} <= set(urls)
    assert "/static/comparator-worklet.js" in urls
    assert len(urls) == len(set(urls))
    for url in urls:
        if not url.startswith("/static/"):
            assert browser.get(url).status_code == 200, url


def test_an_owner_keeps_pages_without_forms(visit: Visit, owner: User, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    urls = browser.get(BUNDLE).json()["urls"]
    assert not [url for url in urls if url.endswith("/new/")]
    assert all(browser.get(url).status_code == 200 for url in urls if not url.startswith("/static/"))


def test_the_list_takes_no_more_queries_for_more_rows(
    visit: Visit,
    browser: Browser,
    django_assert_max_num_queries: Callable[..., object],
    django_assert_num_queries: Callable[..., object],
) -> None:
    browser.get(BUNDLE)
    with django_assert_max_num_queries(24) as counted:
        browser.get(BUNDLE)
    for number in (2, 3):
        line = hall_with_a_line(visit.site, number)
        ReadingFactory(zone__site=visit.site)
        LineFactory(site=visit.site, amplifier=line.amplifier, channel="2")
        visit_with_tasks(line)
    with django_assert_num_queries(len(counted)):
        browser.get(BUNDLE)


def test_the_page_for_what_is_not_kept_is_the_same_for_everybody(browser: Browser, tech: User) -> None:
    page = Browser().get(reverse("phone-not-kept"))
    assert "This page is not on this phone" in page.content.decode()
    assert "data-person" not in page.content.decode()
    assert f'data-person="{tech.pk}"' in browser.get(reverse("phone")).content.decode()


@pytest.mark.parametrize("second_factor", [False, True], ids=["password", "second-factor"])
def test_a_scanned_label_opens_its_page_after_signing_in(second_factor: bool, line: Line, tech: User) -> None:
    tech.set_password("a-long-password-for-tests")
    tech.save()
    label = reverse("place", args=[line.amplifier_id])
    codes: list[str] = []
    if second_factor:
        key = begin_second_factor(by=tech).bin_key
        _, codes = confirm_second_factor(by=tech, code=totp(key, at=time.time() - 30))
    browser = Browser()
    door = browser.get(label, follow=True)
    assert f'name="next" value="{label}"' in door.content.decode()
    typed = {"username": "tech", "password": "a-long-password-for-tests", "next": label}
    page = browser.post(reverse("sign-in"), typed, follow=True)
    if second_factor:
        page = browser.post(reverse("sign-in-code"), {"code": codes[0]}, follow=True)
    assert page.request["PATH_INFO"] == label
    assert page.status_code == 200
