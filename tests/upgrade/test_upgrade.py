"""Who updates from a release keeps everything: its database, as it was dumped then, becomes this version's.

A dump per release, invented data only; DEVELOPERS.md says how the next one is made.
"""

import gzip
import json
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import psycopg
import pytest

from tests.architecture.source import ROOT
from tests.running.real_database import environment, real_database

HERE = Path(__file__).parent
RELEASES = sorted(path.name.removesuffix(".json.gz") for path in HERE.glob("*.json.gz"))
BASELINES = "SELECT id, CAST(content AS text) FROM baselines_baseline ORDER BY id"


class Upgraded(NamedTuple):
    """What the release computed of its own data, what this version does, and the baselines' own bytes."""

    then: dict[str, Any]
    now: dict[str, Any]
    bytes_then: list[Any]
    bytes_now: list[Any]


def load(url: str, release: str) -> None:
    kind = "pg" if url.startswith("postgres") else "sqlite"
    script = gzip.decompress((HERE / f"{release}.{kind}.sql.gz").read_bytes()).decode()
    if kind == "pg":
        with psycopg.connect(url) as connection:
            connection.execute(script)  # type: ignore[call-overload]
    else:
        with sqlite3.connect(url.removeprefix("sqlite:///")) as file:
            file.executescript(script)


def rows_of(url: str, query: str) -> list[Any]:
    if url.startswith("postgres"):
        with psycopg.connect(url) as connection:
            return connection.execute(query).fetchall()  # type: ignore[call-overload]
    with sqlite3.connect(url.removeprefix("sqlite:///")) as file:
        return file.execute(query).fetchall()


def update(url: str, media: Path) -> Any:
    variables = environment(url, EVENKEEL_DEBUG="true", EVENKEEL_MEDIA=str(media))
    command = [sys.executable, "-m", "tests.upgrade.after"]
    done = subprocess.run(command, env=variables, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-3000:]
    return json.loads(done.stdout)


@pytest.fixture(scope="module", params=RELEASES)
def upgraded(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Upgraded]:
    folder = tmp_path_factory.mktemp("upgrade")
    with real_database(folder) as url:
        load(url, request.param)
        before = rows_of(url, BASELINES)
        now = update(url, folder)
        then = json.loads(gzip.decompress((HERE / f"{request.param}.json.gz").read_bytes()))
        yield Upgraded(then, now, before, rows_of(url, BASELINES))


def test_no_row_is_lost(upgraded: Upgraded) -> None:
    then, now = upgraded.then["rows"], upgraded.now["rows"]
    assert {table: now.get(table) for table in then} == then
    assert now["search_searchentry"] > now["client_sites_site"] > 10


def test_baselines_are_the_same_to_the_byte(upgraded: Upgraded) -> None:
    assert upgraded.bytes_now == upgraded.bytes_then
    assert upgraded.now["baselines"] == upgraded.then["baselines"]
    assert len(upgraded.bytes_then) == len(upgraded.then["baselines"]) > 10


def test_every_line_carries_what_it_carried(upgraded: Upgraded) -> None:
    assert upgraded.now["sites"] == upgraded.then["sites"]


def test_the_pages_open(upgraded: Upgraded) -> None:
    answers = upgraded.now["answers"]
    assert {address: status for address, status in answers.items() if status != 200} == {}
    assert len(answers) > 30
