"""A full disk, a database that can only be read and one that is away: a clear page, nothing saved by half."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import psycopg
import pytest
from django.core.files.storage import FileSystemStorage
from django.db import InternalError, OperationalError, ProgrammingError, connection, transaction
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import ClientFactory, SiteFactory, UserFactory
from registry.equipment.models import Document
from registry.web.errors import AWAY, FULL, READ_ONLY, trouble_of
from sites.models import Client, HistoryEntry, Role, Site
from tests.web.pages import answer_of, heading_of

NOT_SAVED = "What you sent was not saved, not even a part of it."


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory(client=ClientFactory(name="North Ltd"), code="north-hall")


@pytest.fixture
def browser(site: Site) -> Browser:
    """A tech's browser that shows what a person would see instead of raising."""
    browser = Browser(raise_request_exception=False)
    browser.force_login(UserFactory(role=Role.TECH))
    browser.get("/")
    return browser


@contextmanager
def pragma(name: str, value: int, usual: int) -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name} = {value}")
        try:
            yield
        finally:
            cursor.execute(f"PRAGMA {name} = {usual}")


@contextmanager
def read_only() -> Iterator[None]:
    if connection.vendor == "sqlite":
        with pragma("query_only", 1, 0):
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SET default_transaction_read_only = on")
        try:
            yield
        finally:
            cursor.execute("SET default_transaction_read_only = off")


@contextmanager
def full() -> Iterator[None]:
    """SQLite may not grow by a page; PostgreSQL is told by a trigger to say what it says on a full disk."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("VACUUM")
            (pages,) = cursor.execute("PRAGMA page_count").fetchone()
        with pragma("max_page_count", pages, 1073741823):
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE FUNCTION full_disk() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = 'disk_full'; END $$"
        )
        cursor.execute(
            "CREATE TRIGGER full_disk AFTER INSERT ON client_sites_historyentry EXECUTE FUNCTION full_disk()"
        )
        try:
            yield
        finally:
            cursor.execute("DROP FUNCTION full_disk CASCADE")


@pytest.mark.django_db(transaction=True)
def test_what_can_not_be_written_is_said_and_nothing_is_half_saved(browser: Browser, site: Site) -> None:
    for state, trouble in ((full, FULL), (read_only, READ_ONLY)):
        before, known = Client.objects.count(), HistoryEntry.objects.count()
        with state():
            for saved in range(300):
                response = browser.post(reverse("client-new"), {"name": f"Bakery {before} {saved}"})
                if response.status_code != 302:
                    break
            assert response.status_code == 503
            assert heading_of(response) == trouble.heading
            assert NOT_SAVED in answer_of(response)
            assert "still in the form" in response.content.decode()
            # What was saved before can be read meanwhile.
            assert browser.get(reverse("site", args=[site.code])).status_code == 200
        # Each with its history and its entry in the log, the last one with neither.
        assert Client.objects.count() == Client.history.count() == before + saved
        assert HistoryEntry.objects.count() == known + saved
        assert browser.post(reverse("client-new"), {"name": f"Bakery {before} {saved}"}).status_code == 302


@pytest.mark.parametrize(("number", "trouble"), [(errno.ENOSPC, FULL), (errno.EACCES, READ_ONLY)])
def test_a_folder_of_files_that_takes_nothing_is_said(
    browser: Browser, site: Site, number: int, trouble: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: Any) -> None:
        raise OSError(number, "the disk says no")

    monkeypatch.setattr(FileSystemStorage, "_save", refuse)
    from django.core.files.uploadedfile import SimpleUploadedFile

    sent = {"title": "Wiring", "kind": "manual", "file": SimpleUploadedFile("wiring.txt", b"sheet 1\n")}
    response = browser.post(reverse("document-new", args=[site.code]), sent)
    assert response.status_code == 503
    assert heading_of(response) == trouble.heading
    assert not Document.objects.exists()


def test_a_database_that_is_away_is_said(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: Any) -> None:
        raise OperationalError("connection refused")

    with monkeypatch.context() as patched:
        patched.setattr("django.db.backends.utils.CursorWrapper.execute", refuse)
        response = browser.get("/")
        program = browser.get("/api/v1/sites/")
    assert response.status_code == 503
    assert heading_of(response) == AWAY.heading
    assert response["Retry-After"] == "30"
    assert NOT_SAVED not in answer_of(response)
    assert (program.status_code, program["Retry-After"]) == (503, "30")


def test_a_program_is_told_in_its_own_form(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("rest_framework.views.APIView.initial", refuse)
    answer = browser.get("/api/v1/sites/")
    assert (answer.status_code, answer["Retry-After"]) == (503, "30")
    assert "nothing of this was saved" in answer.json()["detail"]


def test_a_fault_of_ours_stays_one(db: None) -> None:
    wrong = ProgrammingError("no such column")
    assert trouble_of(wrong) is None
    assert trouble_of(KeyError("x")) is None
    with pytest.raises((OperationalError, ProgrammingError)) as mistake, transaction.atomic():
        connection.cursor().execute("SELECT nothing FROM nowhere")
    assert trouble_of(mistake.value) is None
    for cause, expected in ((psycopg.errors.DiskFull(), FULL), (psycopg.errors.ReadOnlySqlTransaction(), READ_ONLY)):
        error = InternalError("said by the server")
        error.__cause__ = cause
        assert trouble_of(error) is expected
