"""Who may read and write what: every address of the API for every role, programs and people."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser

from registry.api.urls import RESOURCES
from registry.equipment.models import Document
from registry.visits.models import Finding
from sites.models import Site, User
from sites.tokens import Issued
from tests.api.conftest import THEN, Program, fill_site

FILLED = sorted(RESOURCES)
ADDED = sorted(name for name, resource in RESOURCES.items() if hasattr(resource, "create"))
CHANGED = sorted(name for name, resource in RESOURCES.items() if hasattr(resource, "partial_update"))


def first_id(program: Program, name: str) -> int:
    return int(program.read(f"{name}/").json()["results"][0]["id"])


def signed_in(user: User) -> Program:
    browser = Program(enforce_csrf_checks=True)
    browser.force_login(user)
    return browser


@pytest.mark.parametrize("name", sorted(RESOURCES))
def test_without_a_token_everything_is_401(name: str, site: Site) -> None:
    nobody = Program()
    for method, path in (("GET", f"{name}/"), ("GET", f"{name}/1/"), ("POST", f"{name}/"), ("PATCH", f"{name}/1/")):
        answer = nobody.send(method, path, {})
        assert answer.status_code == 401, path
        assert answer.headers["WWW-Authenticate"].startswith("Bearer")


@pytest.mark.parametrize("name", FILLED)
def test_a_reader_reads_and_a_limited_one_finds_only_its_clients(
    name: str, site: Site, reader: Program, issue: Callable[..., Issued]
) -> None:
    other = fill_site("south-barn", "South Ltd")
    limited = Program(issue(name="South only", clients=[other.client]).secret)
    seen, mine = reader.read(f"{name}/").json(), limited.read(f"{name}/").json()
    assert 0 < mine["count"] < seen["count"]
    own = {row["id"] for row in mine["results"]}
    theirs = next(row["id"] for row in seen["results"] if row["id"] not in own)
    assert reader.read(f"{name}/{theirs}/").status_code == 200
    assert limited.read(f"{name}/{min(own)}/").status_code == 200
    assert limited.read(f"{name}/{theirs}/").status_code == 404
    assert limited.send("PATCH", f"{name}/{theirs}/", {}).status_code in {404, 405}


@pytest.mark.parametrize("name", FILLED)
def test_an_owner_who_is_signed_in_reads_what_is_theirs_and_a_stranger_finds_nothing(
    name: str, site: Site, owner: User, stranger: User
) -> None:
    pk = first_id(signed_in(owner), name)
    assert signed_in(owner).get(f"/api/v1/{name}/{pk}/").status_code == 200
    assert signed_in(stranger).get(f"/api/v1/{name}/{pk}/").status_code == 404
    assert signed_in(stranger).get(f"/api/v1/{name}/").json()["count"] == (1 if name in {"clients", "sites"} else 0)


@pytest.mark.parametrize("name", ADDED)
def test_who_only_reads_adds_nothing(name: str, reader: Program, owner: User) -> None:
    assert reader.send("POST", f"{name}/", {}).status_code == 403


@pytest.mark.parametrize("name", CHANGED)
def test_who_only_reads_changes_nothing(name: str, site: Site, reader: Program) -> None:
    assert reader.send("PATCH", f"{name}/{first_id(reader, name)}/", {}).status_code == 403


@pytest.mark.parametrize(
    ("path", "deed"), [("readings", "correction"), ("records", "correction"), ("findings", "closing")]
)
def test_who_only_reads_corrects_and_closes_nothing(path: str, deed: str, site: Site, reader: Program) -> None:
    assert reader.send("POST", f"{path}/{first_id(reader, path)}/{deed}/", {}).status_code == 403


def test_a_person_writes_with_the_csrf_token_only(site: Site, manager: User) -> None:
    browser = signed_in(manager)
    answer: Any = browser.post("/api/v1/spaces/", "{}", content_type="application/json")
    assert answer.status_code == 403
    assert "CSRF" in answer.json()["detail"]


def test_a_person_without_the_second_factor_that_is_asked_for_gets_nothing(
    site: Site, manager: User, settings: Any
) -> None:
    settings.SECOND_FACTOR = "everyone"
    assert signed_in(manager).get("/api/v1/sites/").status_code == 401


def test_a_limited_program_adds_no_client_and_leaves_the_catalogue_alone(
    site: Site, issue: Callable[..., Issued]
) -> None:
    limited = Program(issue(may_write=True, name="North only", clients=[site.client]).secret)
    assert limited.send("POST", "clients/", {"name": "East Ltd"}).status_code == 403
    path = f"models/{first_id(limited, 'models')}/"
    answer = limited.send("PATCH", path, {"price": "1.00"}, If_Match=limited.etag(path))
    assert answer.status_code == 403


def test_the_schema_and_its_page_are_for_those_who_are_let_in(site: Site, reader: Program, owner: User) -> None:
    assert Program().read("schema/").status_code == 401
    assert reader.read("schema/").json()["openapi"] == "3.1.0"
    page = signed_in(owner).get("/api/v1/docs/")
    assert page.status_code == 200
    assert "/api/v1/readings/{id}/correction/" in page.content.decode()
    assert Browser().get("/api/v1/docs/").status_code == 302


def test_who_only_reads_finds_no_internal_finding(site: Site, reader: Program, writer: Program, manager: User) -> None:
    facts = {"site": site, "severity": "down", "follow_up": "none", "found_by": manager, "found_at": THEN}
    Finding.objects.create(says="Told the owner", **facts)
    hidden = Finding.objects.create(says="Only for us", internal=True, **facts)
    assert "Told the owner" in [row["says"] for row in reader.read("findings/").json()["results"]]
    assert reader.read(f"findings/{hidden.pk}/").status_code == 404
    assert writer.read("findings/").json()["count"] == reader.read("findings/").json()["count"] + 1


def test_who_only_reads_gets_of_a_call_what_its_owner_does(
    site: Site, reader: Program, writer: Program, owner: User
) -> None:
    path = f"calls/{first_id(writer, 'calls')}/"
    ours = writer.read(path).json()
    assert (ours["caller"], ours["phone"], [note["says"] for note in ours["notes"]]) == ("Ada", "555 0100", ["Loud"])
    for program in (reader, signed_in(owner)):
        theirs = program.read(path).json()
        assert (theirs["caller"], theirs["phone"], theirs["notes"], theirs["says"]) == ("", "", [], "Silence")


def test_a_program_reads_the_documents_that_its_token_lets_it(site: Site, reader: Program, writer: Program) -> None:
    Document.objects.create(site=site, title="Ours", kind="manual", file="documents/b", name="b", size=1)
    assert reader.read("documents/").json()["count"] == 1
    assert writer.read("documents/").json()["count"] == 2
