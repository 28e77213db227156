"""Pages of lines, zones and readings: a stranger gets 404, an owner reads and gets 403 where they try to write."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.demo.factories import ReadingFactory
from sites.models import Site, User
from tests.web.conftest import SignIn

READ = ("line", "zone")
WRITE = (
    "line-edit",
    "line-life-safety",
    "coil-new",
    "coil-edit",
    "coil-disconnect",
    "zone-new",
    "zone-edit",
    "reading-new",
    "reading-correct",
)


@pytest.fixture
def addresses(site: Site, zone: Zone, line: Line) -> dict[str, str]:
    coil, reading = line.coils.get(loudspeaker__label="LS-1"), ReadingFactory(zone=zone)
    ids = dict.fromkeys(("line", "line-edit", "line-life-safety", "coil-new"), line.pk)
    ids |= dict.fromkeys(("zone", "zone-edit", "reading-new"), zone.pk)
    ids |= dict.fromkeys(("coil-edit", "coil-disconnect"), coil.pk) | {"reading-correct": reading.pk}
    return {name: reverse(name, args=[pk]) for name, pk in ids.items()} | {
        "zone-new": reverse("zone-new", args=[site.code])
    }


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


@pytest.mark.parametrize("name", READ + WRITE)
def test_a_manager_opens_every_page(name: str, addresses: dict[str, str], manager: User, sign_in: SignIn) -> None:
    assert sign_in(manager).get(addresses[name]).status_code == 200


@pytest.mark.parametrize("name", READ + WRITE)
def test_without_signing_in_every_page_leads_to_the_door(name: str, addresses: dict[str, str]) -> None:
    response = Browser().get(addresses[name])
    assert response.headers["Location"] == f"{reverse('sign-in')}?next={addresses[name]}"
