"""The ranking rule, and that the index follows every way of writing. Runs on both databases."""

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.demo.factories import (
    ClientFactory,
    ItemFactory,
    MembershipFactory,
    PlaceFactory,
    RackFactory,
    SiteFactory,
    UserFactory,
    ZoneFactory,
)
from registry.demo.factories.visits import FindingFactory, VisitFactory
from registry.equipment.documents import Sent, add_document, withdraw_document
from registry.equipment.models import Status
from registry.search import queries
from registry.search.indexing import index_what_is_missing, reindex
from registry.search.kinds import KINDS
from registry.search.models import SearchEntry
from registry.search.queries import best, found
from registry.visits.calling import take_call
from registry.visits.finding import close_finding
from sites.actions import put_clients, put_racks
from sites.models import Client, Role, Site, User
from sites.put import Batch

pytestmark = pytest.mark.django_db


@pytest.fixture
def tech() -> User:
    return UserFactory(username="tech", role=Role.TECH)


@pytest.fixture
def site() -> Site:
    return SiteFactory(client=ClientFactory(name="South Ltd"), code="s-1", name="South Barn")


@pytest.fixture
def media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def names(user: User, typed: str) -> list[str]:
    return [str(hit.row) for hit in best(found(user, typed), 99)]


def test_what_it_is_then_how_it_begins_then_a_word_then_inside(tech: User, site: Site) -> None:
    for name in ("Minibar", "Top bar", "Bar two", "Bar", "Café"):
        PlaceFactory(site=site, name=name)
    ItemFactory(site=site, tag="X-BAR")
    ItemFactory(site=site, tag="BAR-7")
    assert names(tech, "bar") == ["Bar", "BAR-7", "Bar two", "South Barn", "X-BAR", "Top bar", "Minibar"]
    assert names(tech, "ba") == ["BAR-7", "Bar", "Bar two", "South Barn", "X-BAR", "Top bar"]


@pytest.mark.parametrize("typed", ["NH-0001", "qx77123", "0200.5e10.0001", "10.0.5.17"])
def test_a_whole_code_comes_first_whatever_its_kind(tech: User, site: Site, typed: str) -> None:
    for number in range(10, 40):
        ItemFactory(site=site, tag=f"NH-0001{number}", serial=f"QX77123{number}")
    ItemFactory(site=site, tag="NH-0001", serial="QX77123", mac="02:00:5e:10:00:01")
    PlaceFactory(site=site, name="NH-0001", ip="10.0.5.17")
    PlaceFactory(site=site, name="Other", ip="10.0.5.170")
    assert names(tech, typed)[0] == "NH-0001"


@pytest.mark.parametrize("typed", ["zurich", "ZÜRICH", "Zü", "urich"])
def test_accents_and_capitals_do_not_matter(tech: User, site: Site, typed: str) -> None:
    ZoneFactory(site=site, name="Zürich room")
    assert names(tech, typed) == ["Zürich room"]


def test_every_kind_follows_save_bulk_write_and_delete(tech: User, site: Site) -> None:
    zone = ZoneFactory(site=site, name="Smithy")
    zone.name = "Foundry"
    zone.save()
    assert (names(tech, "smithy"), names(tech, "foundry")) == ([], ["Foundry"])
    batch = Batch(by=tech)
    put_racks(batch, {(site.pk, "Cupboard"): {"site_id": site.pk, "name": "Cupboard", "height_u": 6}})
    put_clients(batch, {("South Ltd",): {"contact": "Miss Smithy"}})
    assert (names(tech, "cupboard"), names(tech, "smithy")) == (["Cupboard"], ["South Ltd"])
    zone.delete()
    assert names(tech, "foundry") == []


def test_work_and_papers_are_found_by_what_they_say(tech: User, site: Site, media: None) -> None:
    visit = VisitFactory(site=site, title="Autumn round")
    finding = FindingFactory(site=site, says="Rattle over the till")
    call = take_call(by=tech, site=site, values={"says": "No music on the terrace", "phone": "555 0100"})
    paper = add_document(by=tech, site=site, sent=Sent("sb-7.txt", b"x"), values={"title": "Wiring", "kind": "manual"})
    rows = {"autumn": visit, "rattle": finding, "terrace": call, "wiring": paper, "sb7txt": paper}
    assert {typed: names(tech, typed) for typed in rows} == {typed: [str(row)] for typed, row in rows.items()}
    close_finding(by=tech, finding=finding, done="Tightened the grille")
    withdraw_document(by=tech, document=paper, reason="Another site's")
    assert names(tech, "grille") == [str(finding)]
    assert names(tech, "wiring") == []


def test_an_owner_finds_neither_what_is_internal_nor_what_only_we_know_of_a_call(
    monkeypatch: pytest.MonkeyPatch, tech: User, site: Site, media: None
) -> None:
    owner = MembershipFactory(user=UserFactory(role=Role.OWNER), client=site.client).user
    for number in range(3):
        FindingFactory(site=site, says=f"Cable {number}", internal=True)
    FindingFactory(site=site, says="Cable of theirs")
    for number, for_owner in enumerate((True, False)):
        values = {"title": f"Cable list {number}", "kind": "manual", "for_owner": for_owner}
        add_document(by=tech, site=site, sent=Sent(f"{number}.txt", b"%d" % number), values=values)
    told = {"caller": "Cable Company", "phone": "555 0100", "since": "cable was cut", "says": "Silence"}
    take_call(by=tech, site=site, values=told)
    monkeypatch.setattr(queries, "LIMIT", 2)
    kinds = found(owner, "cable")
    assert [[str(hit.row) for hit in kind.hits] for kind in kinds] == [["Cable list 0"], ["Cable of theirs"]]
    assert not any(kind.more for kind in kinds), "what is hidden isn't counted"
    assert names(tech, "5550100") == []


def test_a_register_that_is_older_than_a_kind_gets_its_entries(tech: User, site: Site) -> None:
    VisitFactory(site=site, title="Autumn round")
    SearchEntry.objects.filter(kind="visit").delete()
    index_what_is_missing()
    assert names(tech, "autumn") == [f"Autumn round, {site}"]


def test_what_is_deleted_with_its_site_is_forgotten(tech: User) -> None:
    site = SiteFactory(name="Gone")
    ZoneFactory(site=site, name="Gone zone")
    site.delete()
    assert not SearchEntry.objects.filter(kind__in=["site", "zone"]).exists()
    assert names(tech, "gone") == []


def test_reindex_makes_the_same_index_anew(tech: User, site: Site) -> None:
    RackFactory(site=site, name="Cupboard")
    ItemFactory(site=site)
    before = set(SearchEntry.objects.values_list("kind", "row", "client", "text"))
    SearchEntry.objects.filter(kind="rack").update(text="\nlost\n")
    assert names(tech, "lost") == ["Cupboard"]
    said = StringIO()
    call_command("reindex", stdout=said)
    assert said.getvalue() == f"{len({(kind, row) for kind, row, *_ in before})} things can be found.\n"
    assert set(SearchEntry.objects.values_list("kind", "row", "client", "text")) == before
    assert names(tech, "cupboard") == ["Cupboard"]


def test_an_owner_is_not_crowded_out_by_others(monkeypatch: pytest.MonkeyPatch, site: Site) -> None:
    for number in range(6):
        ZoneFactory(site=site, name=f"Bar {number}")
    mine = ZoneFactory(name="Bar mine")
    owner = MembershipFactory(user=UserFactory(role=Role.OWNER), client=mine.site.client).user
    monkeypatch.setattr(queries, "MOST_CANDIDATES", 3)
    assert names(owner, "bar") == ["Bar mine"]
    assert names(owner, "south") == []


def test_what_begins_with_it_is_found_among_more_than_is_read(
    monkeypatch: pytest.MonkeyPatch, tech: User, site: Site
) -> None:
    for number in range(4):
        ZoneFactory(site=site, name=f"Minibar {number}")
    ZoneFactory(site=site, name="Bar")
    monkeypatch.setattr(queries, "MOST_CANDIDATES", 3)
    assert names(tech, "bar")[:2] == ["Bar", "South Barn"]


def test_signed_off_people_find_nothing(site: Site) -> None:
    assert names(UserFactory(role=Role.TECH, is_active=False), "south") == []


def test_a_search_costs_as_many_queries_with_many_hits_as_with_one(tech: User, site: Site) -> None:
    counts = []
    for number in range(3):
        ItemFactory(site=site, tag=f"CRATE-{number}")
        with CaptureQueriesContext(
            connection,
        ) as captured:
            found(tech, "crate")
        counts.append(len(captured))
    assert counts == [3, 3, 3], "what begins with it, what holds it, and one kind"
    for number in range(3, 3 + queries.LIMIT):
        ItemFactory(site=site, tag=f"CRATE-{number}")
    with CaptureQueriesContext(connection) as captured:
        assert len(found(tech, "crate")[0].hits) == queries.LIMIT
    assert len(captured) == 2, "nobody looks further than to what begins with it"


def test_a_row_is_written_to_the_index_only_when_it_is_found_by_something_else(site: Site) -> None:
    item = ItemFactory(site=site, tag="CRATE-1")
    before = set(SearchEntry.objects.filter(kind="item").values_list("pk", "text"))
    item.status = Status.SPARE
    item.save()
    assert set(SearchEntry.objects.filter(kind="item").values_list("pk", "text")) == before
    item.tag = "CRATE-2"
    item.save()
    assert {"\ncrate 2\n", "\ncrate2\n"} <= set(SearchEntry.objects.values_list("text", flat=True))
    assert not SearchEntry.objects.filter(text__contains="crate 1").exists()


def test_what_is_longer_than_the_index_of_beginnings_is_found_whole(tech: User, site: Site) -> None:
    says = "Loud " * 30
    finding = FindingFactory(site=site, says=says)
    assert names(tech, says) == names(tech, says[3:]) == [str(finding)]


def test_every_kind_can_be_indexed_and_shown(site: Site) -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS)
    for kind in KINDS:
        fields = {field.name for field in kind.model._meta.get_fields()}
        assert {*kind.names, *kind.codes} <= fields
        assert kind.names or kind.codes
        assert len(kind.name) <= 20
    assert reindex() == Client.objects.count() + Site.objects.count()
