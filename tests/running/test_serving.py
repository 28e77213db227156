"""Two machines with gunicorn share one database and one bucket, and nothing else; a proxy ends TLS before them."""

import gzip
import io
import json
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any, NamedTuple
from urllib.parse import urlencode

import boto3
import psycopg
import pytest
from django.db import connection
from PIL import Image
from pypdf import PdfReader
from pytest_django import DjangoDbBlocker

from registry.web.reports.label_forms import DEFAULTS
from tests.architecture.source import ROOT
from tests.exchange.small_survey import SMALL
from tests.running.real_database import environment, real_database
from tests.running.servers import Server, bucket_server, gunicorn
from tests.running.talking import HOST, Talk, linked, path_of

PASSWORD = "correct-horse-battery-staple"
# One farm for all; the tests' own database is only copied.
pytestmark = pytest.mark.django_db
BUCKET = "evenkeel-media"
CREDENTIALS = {"AWS_ACCESS_KEY_ID": "invented-key-id", "AWS_SECRET_ACCESS_KEY": "invented-secret-key"}


class Farm(NamedTuple):
    """Two machines, what they share, and the cookies of who is signed in."""

    one: Server
    other: Server
    url: str
    bucket: Any
    cookies: dict[str, str]

    def at_one(self) -> Talk:
        """Talk to the machine with two workers."""
        return Talk(self.one.port, self.cookies)

    def at_other(self) -> Talk:
        """Talk to the machine with one worker, as the same person."""
        return Talk(self.other.port, self.cookies)

    def log(self) -> list[dict[str, Any]]:
        """Return the lines of both logs."""
        return [json.loads(line) for each in (self.one, self.other) for line in each.log.read_text().splitlines()]


@pytest.fixture(scope="module")
def farm(
    tmp_path_factory: pytest.TempPathFactory, django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[Farm]:
    folder = tmp_path_factory.mktemp("running")
    with ExitStack() as stack:
        with django_db_blocker.unblock():
            connection.close()  # nobody may be connected to what PostgreSQL copies
        url = stack.enter_context(real_database(folder, like=str(connection.settings_dict["NAME"])))
        storage = stack.enter_context(bucket_server(folder / "bucket.log"))
        endpoint = f"http://127.0.0.1:{storage.port}"
        client = boto3.resource("s3", endpoint_url=endpoint, region_name="eu-west-1", **_lower(CREDENTIALS))
        bucket = client.create_bucket(Bucket=BUCKET, CreateBucketConfiguration={"LocationConstraint": "eu-west-1"})
        media = f"s3://{BUCKET}/here?endpoint={endpoint}&region=eu-west-1"
        settings = {"EVENKEEL_SECRET_KEY": "k" * 60, "EVENKEEL_HOSTS": HOST, "EVENKEEL_PROXY": "true"}
        variables = environment(url, EVENKEEL_MEDIA=media, **settings, **CREDENTIALS)
        subprocess.run([sys.executable, "-m", "tests.running.prepare", PASSWORD], env=variables, cwd=ROOT, check=True)
        one = stack.enter_context(gunicorn(variables, folder / "one.log", workers=2))
        other = stack.enter_context(gunicorn(variables, folder / "other.log", workers=1))
        cookies: dict[str, str] = {}
        Talk(one.port, cookies).get("/sign-in/")
        answer = Talk(one.port, cookies).post("/sign-in/", {"username": "tess", "password": PASSWORD})
        assert answer.status == 302, answer.text
        yield Farm(one, other, url, bucket, cookies)


def _lower(names: dict[str, str]) -> dict[str, str]:
    return {name.lower(): value for name, value in names.items()}


def test_both_machines_say_that_they_can_work(farm: Farm) -> None:
    assert json.loads(farm.at_one().get("/ready/").body) == {"database": "ok", "migrations": "ok", "media": "ok"}
    for talk in (farm.at_one(), farm.at_other()):
        assert [talk.get("/health/", Host="192.0.2.1").status, talk.get("/ready/").status] == [200, 200]


def test_an_import_is_looked_at_on_one_machine_and_confirmed_on_the_other(farm: Farm) -> None:
    files = [io.BytesIO(text.encode()) for text in SMALL.values()]
    for name, file in zip(SMALL, files, strict=True):
        file.name = name
    sent = farm.at_one().post("/survey/import/", {"survey": files}, files=True)
    assert sent.status == 302, sent.text
    preview = farm.at_other().get(path_of(sent))
    assert "Reading acre / Yard" in preview.text
    assert farm.at_other().post(path_of(sent), {}).status == 302
    # What was said stands on the next page, whoever serves it.
    assert "Imported:" in farm.at_one().get("/clients/").text
    assert farm.at_one().get("/sites/acre/").status == 200
    assert not [each.key for each in farm.bucket.objects.filter(Prefix="here/waiting/")]


def test_a_photo_is_sent_to_one_machine_and_read_from_the_other(farm: Farm) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "green").save(picture, "JPEG")
    picture.seek(0)
    picture.name = "rack.jpg"
    assert farm.at_other().post("/visits/1/begin/", {}).status == 302
    answer = farm.at_one().post("/visits/1/photos/new/", {"photo": picture, "caption": "The rack"}, files=True)
    assert answer.status == 302, answer.text
    address = linked(farm.at_other().get("/visits/1/").text, r"/visit-photos/\d+/")
    found = farm.at_other().get(address)
    assert Image.open(io.BytesIO(found.body)).size == (40, 30)
    assert found.headers["Cache-Control"] == "private, max-age=3600"
    # Nobody else gets it: not from us without signing in, not from the bucket without its key.
    assert Talk(farm.one.port).get(address).status == 302
    (kept,) = farm.bucket.objects.filter(Prefix="here/visits/")
    grants = kept.Acl().grants
    assert {grant["Grantee"].get("URI") for grant in grants} == {None}


def test_a_pdf_is_made(farm: Farm) -> None:
    answer = farm.at_one().get(f"/sites/acre/labels.pdf?kinds=places&{urlencode(DEFAULTS)}")
    assert answer.headers["Content-Type"] == "application/pdf", answer.text
    assert "Amplifier 1" in PdfReader(io.BytesIO(answer.body)).pages[0].extract_text()


def test_static_files_are_compressed_and_kept_for_good(farm: Farm) -> None:
    page = Talk(farm.one.port).get("/sign-in/").text
    found = farm.at_one().get(linked(page, r"/static/evenkeel\.[0-9a-f]{12}\.css"), **{"Accept-Encoding": "gzip"})
    assert found.headers["Content-Encoding"] == "gzip"
    assert b"--paper" in gzip.decompress(found.body)
    # RFC 8246: immutable; ten years, as WhiteNoise has it.
    assert found.headers["Cache-Control"] == "max-age=315360000, public, immutable"


def test_plain_http_goes_to_https_and_a_wrong_host_nowhere(farm: Farm) -> None:
    plain = farm.at_one().get("/sign-in/", **{"X-Forwarded-Proto": "http"})
    assert (plain.status, plain.headers["Location"]) == (301, f"https://{HOST}/sign-in/")
    assert farm.at_one().get("/sign-in/", Host="elsewhere.example").status == 400
    headers = farm.at_one().get("/sign-in/").headers
    assert headers["Strict-Transport-Security"].startswith("max-age=31536000")
    assert headers["X-Content-Type-Options"] == "nosniff"


def test_a_reload_fails_no_request(farm: Farm) -> None:
    answers: list[int] = []
    done = threading.Event()

    def ask() -> None:
        while not done.is_set():
            answers.append(Talk(farm.one.port).get("/sign-in/").status)

    def booted() -> int:
        return farm.one.log.read_text().count("Booting worker")

    asking = threading.Thread(target=ask)
    asking.start()
    try:
        farm.one.reload()
        until = time.monotonic() + 30
        while booted() < 4 and time.monotonic() < until:
            time.sleep(0.1)
        before, until = len(answers), time.monotonic() + 30
        while len(answers) < before + 10 and time.monotonic() < until and asking.is_alive():
            time.sleep(0.1)
    finally:
        done.set()
        asking.join()
    assert booted() == 4
    assert len(answers) > 10
    assert set(answers) == {200}


def test_a_fault_shows_no_trace_and_its_number_finds_it_in_the_log(farm: Farm) -> None:
    _rename(farm.url, "search_searchentry", "elsewhere")
    try:
        answer = farm.at_one().get("/search/?q=acre", **{"X-Request-ID": "proxy-number-1"})
    finally:
        _rename(farm.url, "elsewhere", "search_searchentry")
    assert answer.status == 500
    assert "Something went wrong on our side" in answer.text
    assert "proxy-number-1" in answer.text
    assert not [word for word in ("Traceback", "searchentry", "registry/", ".py") if word in answer.text]
    lines = [line for line in farm.log() if line.get("request") == "proxy-number-1"]
    assert "search_searchentry" in next(line["traceback"] for line in lines if "traceback" in line)


def _rename(url: str, table: str, name: str) -> None:
    statement = f"ALTER TABLE {table} RENAME TO {name}"
    if url.startswith("postgres"):
        with psycopg.connect(url) as server:
            server.execute(statement)  # type: ignore[call-overload]
    else:
        with sqlite3.connect(url.removeprefix("sqlite:///"), timeout=20) as file:
            file.execute(statement)


def test_the_log_has_every_request_and_every_write_and_no_secret(farm: Farm) -> None:
    farm.at_one().get("/password/link/MQ/secret-of-a-link/")
    farm.at_one().get("/calendar/secret-of-a-calendar.ics?also=secret-of-a-query")
    lines = farm.log()
    photo = next(line for line in lines if line.get("path") == "/visits/1/photos/new/")
    assert (photo["method"], photo["status"], photo["user"], photo["level"]) == ("POST", 302, 1, "info")
    assert photo["ms"] > 0
    written = [line for line in lines if line["logger"] == "sites.log" and line.get("request") == photo["request"]]
    assert [(line["message"].rpartition(" ")[0], line["by"], line["page"]) for line in written] == [
        ("recorded visits.visitphoto", 1, "visit-photo-new")
    ]
    said = farm.one.log.read_text() + farm.other.log.read_text()
    cookies = [value for value in farm.cookies.values() if len(value) > 20]
    secrets = [PASSWORD, "k" * 60, *CREDENTIALS.values(), *cookies, "secret-of"]
    assert not [secret for secret in secrets if secret in said]
