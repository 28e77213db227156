"""Pages of baselines and restores: a stranger gets 404, an owner reads and gets 403 where they try to write."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.baselines.models import Restore
from sites.models import Site, User
from tests.web.conftest import SignIn

READ = ("baselines", "baseline-compare", "baseline", "restore-sheet", "restore")
WRITE = ("baseline-freeze", "restore-start", "restore-step", "restore-reading", "restore-sign")


@pytest.fixture
def addresses(site: Site, restore: Restore) -> dict[str, str]:
    made = {name: reverse(name, args=[site.code]) for name in ("baselines", "baseline-compare", "baseline-freeze")}
    for name in ("baseline", "restore-sheet", "restore-start"):
        made[name] = reverse(name, args=[restore.baseline_id])
    for name in ("restore", "restore-step", "restore-reading", "restore-sign"):
        made[name] = reverse(name, args=[restore.pk])
    return made


@pytest.mark.parametrize("name", READ + WRITE)
def test_a_stranger_finds_nothing(name: str, addresses: dict[str, str], stranger: User, sign_in: SignIn) -> None:
    browser = sign_in(stranger)
    assert browser.get(addresses[name]).status_code == 404
    assert browser.post(addresses[name], {}).status_code == 404


@pytest.mark.parametrize("name", READ)
def test_an_owner_reads_what_is_theirs(name: str, addresses: dict[str, str], owner: User, sign_in: SignIn) -> None:
    assert sign_in(owner).get(addresses[name]).status_code == 200


@pytest.mark.parametrize("name", WRITE)
def test_an_owner_who_tries_to_write_gets_403(
    name: str, addresses: dict[str, str], owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    assert browser.get(addresses[name]).status_code == 403
    assert browser.post(addresses[name], {}).status_code == 403


@pytest.mark.parametrize("name", READ)
def test_a_tech_opens_every_page(name: str, addresses: dict[str, str], browser: Browser) -> None:
    assert browser.get(addresses[name]).status_code == 200


@pytest.mark.parametrize("name", READ + WRITE)
def test_without_signing_in_every_page_leads_to_the_door(name: str, addresses: dict[str, str]) -> None:
    response = Browser().get(addresses[name])
    assert response.headers["Location"] == f"{reverse('sign-in')}?next={addresses[name]}"


def test_a_reading_for_a_zone_of_another_site_is_404(restore: Restore, browser: Browser) -> None:
    for zone in ("", "x", "999999", "9" * 40):
        response = browser.post(reverse("restore-reading", args=[restore.pk]), {"zone": zone, "state": "as left"})
        assert response.status_code == 404
