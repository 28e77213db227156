"""A stranger finds nothing of a run or a photo, an owner reads theirs and can't write, nobody else gets in."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.equipment.models import Place
from registry.planning.models import Commissioning, SpotPhoto
from registry.web.commissioning.urls import urlpatterns
from sites.models import User
from tests.web.conftest import SignIn

READ = (
    "commissionings",
    "commissioning",
    "commissioning-track",
    "commissioning-line",
    "commissioning-zone",
    "commissioning-place",
    "spot-photo",
)
WRITE = (
    "commissioning-start",
    "commissioning-could-not",
    "commissioning-impedance",
    "commissioning-polarity",
    "commissioning-spot",
    "commissioning-photo",
    "commissioning-as-found",
    "commissioning-wanted",
    "commissioning-trial",
    "commissioning-accept",
    "commissioning-freeze",
    "commissioning-hand-over",
    "commissioning-stop",
    "spot-photo-remove",
)
SENT_TO = ("commissioning-track", "commissioning-place")


@pytest.fixture
def addresses(run: Commissioning, line: Line, zone: Zone, place: Place, photo: SpotPhoto) -> dict[str, str]:
    made = {}
    for name in READ + WRITE:
        part = name.split("-", 1)[-1]
        if name in {"commissionings", "commissioning-start"}:
            args: list[object] = [run.site.code]
        elif name.startswith("spot-photo"):
            args = [photo.pk]
        elif part in {"line", "impedance", "polarity"}:
            args = [run.pk, line.pk]
        elif part in {"zone", "spot", "photo", "as-found", "wanted", "trial", "accept"}:
            args = [run.pk, zone.pk]
        else:
            args = [run.pk, place.pk] if part == "place" else [run.pk]
        made[name] = reverse(name, args=args)
    return made


def test_every_route_of_this_subject_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == set(READ + WRITE)


@pytest.mark.parametrize("name", READ + WRITE)
def test_a_stranger_gets_404(name: str, addresses: dict[str, str], stranger: User, sign_in: SignIn) -> None:
    browser = sign_in(stranger)
    assert browser.get(addresses[name]).status_code == 404
    assert browser.post(addresses[name], {}).status_code == 404


@pytest.mark.parametrize("name", READ)
def test_an_owner_reads_what_is_theirs_and_is_offered_nothing(
    name: str, addresses: dict[str, str], owner: User, sign_in: SignIn
) -> None:
    response = sign_in(owner).get(addresses[name])
    assert response.status_code == 200
    if name != "spot-photo":
        # The only form that sends anything is the one that signs out.
        assert response.content.decode().count('method="post"') == 1


@pytest.mark.parametrize("name", WRITE + SENT_TO)
def test_an_owner_who_tries_to_write_gets_403(
    name: str, addresses: dict[str, str], owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    assert browser.post(addresses[name], {}).status_code == 403
    if name not in SENT_TO:
        assert browser.get(addresses[name]).status_code == 403


@pytest.mark.parametrize("name", READ + WRITE)
def test_a_tech_gets_a_page_or_is_led_to_one(name: str, addresses: dict[str, str], browser: Browser) -> None:
    assert browser.get(addresses[name], follow=True).status_code == 200


@pytest.mark.parametrize("name", READ + WRITE)
def test_without_signing_in_everything_leads_to_the_door(name: str, addresses: dict[str, str]) -> None:
    response = Browser().get(addresses[name])
    assert response.status_code == 302
    assert response.headers["Location"] == f"{reverse('sign-in')}?next={addresses[name]}"


def test_a_line_zone_or_place_of_another_site_is_no_stop_of_this_run(run: Commissioning, browser: Browser) -> None:
    from registry.demo.factories import LineFactory, PlaceFactory, ZoneFactory

    others = (("line", LineFactory()), ("zone", ZoneFactory()), ("place", PlaceFactory()))
    for part, other in others:
        address = reverse(f"commissioning-{part}", args=[run.pk, other.pk])
        assert browser.get(address).status_code == 404, part
