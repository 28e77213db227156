"""A stranger finds nothing, an owner reads and can't write, nobody gets in without signing in."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    ItemFactory,
    LineFactory,
    PlaceFactory,
    RackFactory,
    SpaceFactory,
)
from sites.models import Site, User
from tests.web.conftest import SignIn

PRINTED = ("door-card-page", "door-card", "labels", "labels-pdf", "restore-sheet-pdf")
READ = ("client", "site", "rack", "item", "place", "site-drift", "line-what-if", *PRINTED)
WRITE = (
    "client-edit",
    "site-new",
    "site-edit",
    "space-new",
    "space-edit",
    "rack-new",
    "rack-edit",
    "item-new",
    "item-edit",
    "place-new",
    "place-edit",
    "record-settings",
    "record-correct",
    "line-new",
)
FOR_ALL = ("today", "clients", "sites", "equipment", "models", "search")


@pytest.fixture
def addresses(site: Site) -> dict[str, str]:
    rack, space = RackFactory(site=site), SpaceFactory(site=site)
    place, item = PlaceFactory(site=site), ItemFactory(site=site)
    by_id = {"client": site.client, "rack": rack, "item": item, "place": place, "space": space}
    made = {name: reverse(name, args=[by_id[name].pk]) for name in ("client", "rack", "item", "place")}
    made |= {f"{name}-edit": reverse(f"{name}-edit", args=[row.pk]) for name, row in by_id.items()}
    made |= {name: reverse(name, args=[site.code]) for name in ("site", "site-edit", "space-new", "rack-new")}
    made |= {name: reverse(name, args=[site.code]) for name in ("item-new", "place-new")}
    made |= {name: reverse(name, args=[site.code]) for name in PRINTED[:4]}
    made["restore-sheet-pdf"] = reverse("restore-sheet-pdf", args=[BaselineFactory(site=site).pk])
    made["site-new"] = reverse("site-new", args=[site.client.pk])
    made["record-settings"] = reverse("record-settings", args=[place.pk])
    made["record-correct"] = reverse("record-correct", args=[ConfigurationRecordFactory(place=place).pk])
    made["line-what-if"] = reverse("line-what-if", args=[LineFactory(site=site).pk])
    made |= {name: reverse(name, args=[site.code]) for name in ("site-drift", "line-new")}
    return made


@pytest.mark.parametrize("name", READ + WRITE)
def test_a_stranger_gets_404_wherever_the_page_belongs_to_somebody_else(
    name: str, addresses: dict[str, str], stranger: User, sign_in: SignIn
) -> None:
    browser = sign_in(stranger)
    assert browser.get(addresses[name]).status_code == 404
    assert browser.post(addresses[name], {}).status_code in {404, 405}


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
def test_a_tech_opens_every_page(name: str, addresses: dict[str, str], browser: Browser) -> None:
    assert browser.get(addresses[name]).status_code == 200


@pytest.mark.parametrize("name", ["client-new", "model-new"])
def test_an_owner_makes_neither_a_client_nor_a_model(name: str, owner: User, sign_in: SignIn) -> None:
    assert sign_in(owner).get(reverse(name)).status_code == 403


@pytest.mark.parametrize("name", FOR_ALL)
def test_everybody_who_is_signed_in_has_the_lists(name: str, owner: User, sign_in: SignIn) -> None:
    assert sign_in(owner).get(reverse(name)).status_code == 200


@pytest.mark.parametrize("name", READ + WRITE)
def test_without_signing_in_every_page_leads_to_the_door(name: str, addresses: dict[str, str]) -> None:
    response = Browser().get(addresses[name])
    assert response.status_code == 302
    assert response.headers["Location"] == f"{reverse('sign-in')}?next={addresses[name]}"


def test_lists_and_search_show_an_owner_only_their_own(stranger: User, site: Site, sign_in: SignIn) -> None:
    ItemFactory(site=site, tag="NH-0001")
    browser = sign_in(stranger)
    for name in ("clients", "sites", "equipment"):
        page = browser.get(reverse(name)).content.decode()
        assert "North" not in page
        assert "NH-0001" not in page
    found = browser.get(reverse("search"), {"q": "NH-0001"}).content.decode()
    assert reverse("site", args=[site.code]) not in found


def test_a_filter_offers_no_site_of_another_client(stranger: User, site: Site, sign_in: SignIn) -> None:
    page = sign_in(stranger).get(reverse("equipment"))
    offered = page.context["listing"].filter.form.fields["site"].queryset
    assert [each.name for each in offered] == ["South Barn"]
    foreign = sign_in(stranger).get(reverse("equipment"), {"site": site.pk})
    assert "site" in foreign.context["listing"].filter.form.errors
