"""Whatever goes wrong under /api/ is a problem (RFC 9457), also what isn't even HTTP as it should be."""

from typing import Any

import pytest
from django.db import OperationalError

from registry.api.resources.rooms import Spaces
from registry.demo.factories import SpaceFactory, UserFactory
from sites import bounded_counts
from sites.models import Site
from tests.api.conftest import Program


def is_problem(answer: Any, status: int) -> dict[str, Any]:
    found: dict[str, Any] = answer.json()
    assert (answer.status_code, answer.headers["Content-Type"]) == (status, "application/problem+json")
    assert found["status"] == status
    assert found["title"]
    return found


@pytest.mark.parametrize("path", ["", "nothing/", "sites", "sites/x/", "sites/99999999999999999999999/", "sites/999/"])
def test_unknown_addresses(path: str, site: Site, reader: Program) -> None:
    is_problem(reader.read(path), 404)


def test_methods_media_types_and_languages_that_are_not_spoken(site: Site, writer: Program) -> None:
    assert "GET" in writer.put("/api/v1/sites/").headers["Allow"]
    is_problem(writer.put("/api/v1/sites/"), 405)
    is_problem(writer.post("/api/v1/spaces/", {"name": "a form"}), 415)
    is_problem(writer.read("sites/", Accept="text/html"), 406)


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b"",
        b"\xff\xfe",
        b'"text"',
        b"[]",
        b"null",
        b'{"name": "\\u0000"}',
        b'{"name": "\\ud800"}',
        b'{"site": 1e999}',
        b'{"site": ' + b"9" * 5000 + b"}",
        b'{"ceiling_m": NaN, "site": 1, "name": "a"}',
        b'{"ceiling_m": -1, "site": 1, "name": "a"}',
        b'{"ceiling_m": "4", "site": 1, "name": "a"}',
        b'{"site": true, "name": "a"}',
        b'{"name": 5, "site": 1}',
        b'{"nmae": "a slip"}',
        b"[" * 100_000,
    ],
)
def test_bodies_that_do_not_fit(body: bytes, site: Site, writer: Program) -> None:
    answer = writer.generic("POST", "/api/v1/spaces/", body, content_type="application/json")
    is_problem(answer, 400)


def test_a_body_that_is_too_large(site: Site, writer: Program, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    is_problem(writer.send("POST", "spaces/", {"name": "x" * 200}), 413)


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ("sitte=1", "sitte"),
        ("site=x", "site"),
        ("site=", "site"),
        ("site=99999999999999999999", "site"),
        ("site=1&site=2", "site"),
        ("order=price", "order"),
        ("page=0", "page"),
        ("page_size=201", "page_size"),
        ("page_size=٣", "page_size"),
        ("search=%00", "search"),
        ("search=" + "x" * 201, "search"),
    ],
)
def test_queries_that_mean_nothing_are_refused_not_ignored(
    query: str, parameter: str, site: Site, reader: Program
) -> None:
    found = is_problem(reader.read(f"spaces/?{query}"), 400)
    assert found["errors"][0]["parameter"] == parameter


def test_pages_never_overlap_and_name_their_neighbours(site: Site, writer: Program) -> None:
    for number in range(4):
        writer.send("POST", "spaces/", {"site": site.pk, "name": f"Room {number}"})
    first = writer.read("spaces/?page_size=2&order=-name").json()
    second = writer.get(first["next"]).json()
    names = [row["name"] for page in (first, second) for row in page["results"]]
    assert names == ["Room 3", "Room 2", "Room 1", "Room 0"]
    assert first["count"] == 5
    assert writer.read("spaces/?search=room 3").json()["count"] == 1


def test_counts_end_and_pages_do_not(site: Site, writer: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bounded_counts, "COUNTED", 3)
    SpaceFactory.create_batch(6, site=site)
    page: Any = {"next": "/api/v1/spaces/?page_size=2"}
    counted, names = [], []
    while page["next"]:
        page = writer.get(page["next"]).json()
        counted.append((page["count"], page["more"]))
        names += [row["name"] for row in page["results"]]
    assert counted == [(4, True), (6, True), (7, False), (7, False)]
    assert len(set(names)) == 7
    assert writer.read("spaces/?page_size=2&page=5").status_code == 404


def test_a_fault_of_ours_is_a_problem_too_and_tells_nothing(
    site: Site, reader: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: object) -> None:
        raise ZeroDivisionError("inner matters")

    monkeypatch.setattr(Spaces, "rows", broken)
    found = is_problem(reader.read("spaces/"), 500)
    assert "inner" not in str(found)


def test_a_database_that_is_away_is_a_problem_too_also_for_who_is_signed_in(
    site: Site, reader: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*args: Any) -> None:
        raise OperationalError("connection refused")

    reader.force_login(UserFactory())
    monkeypatch.setattr("sites.sessions.SessionStore.load", away)
    answer = reader.read("sites/")
    assert is_problem(answer, 503)["detail"].startswith("The database or the disk takes nothing just now")
    assert answer["Retry-After"] == "30"
    assert int(answer["Content-Length"]) == len(answer.content)


def test_whoever_brings_wrong_tokens_too_often_waits_and_a_good_one_does_not(site: Site, reader: Program) -> None:
    guess = Program("evenkeel_wrong")
    statuses = [guess.read("sites/").status_code for _ in range(61)]
    assert statuses[:60] == [401] * 60
    late = guess.read("sites/")
    is_problem(late, 429)
    assert 0 < int(late.headers["Retry-After"]) <= 60
    assert reader.read("sites/").status_code == 200


@pytest.mark.parametrize(
    "moment", ["3491-07-11T11:16:35-17:57", "0001-01-01T00:00:00+10:00", "9999-12-31T23:59:59-10:00"]
)
def test_times_at_the_ends_of_the_calendar_are_times(moment: str, site: Site, reader: Program) -> None:
    assert reader.get("/api/v1/readings/", {"taken_from": moment}).status_code == 200
