"""Whoever watches over the workers is told the truth, without signing in, and no more than that."""

import logging
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.test import Client as Browser

from registry.web import health


@pytest.fixture(autouse=True)
def nothing_was_asked_before() -> None:
    health._look_at_migrations.cache_clear()
    health._write_media.cache_clear()


def test_a_living_process_needs_no_database(client: Browser, settings: Any) -> None:
    settings.SECURE_SSL_REDIRECT, settings.SECURE_REDIRECT_EXEMPT = True, ["^health/$", "^ready/$"]
    response = client.get("/health/", headers={"host": "192.0.2.7:8000"})
    assert (response.status_code, response.json()) == (200, {"process": "ok"})
    assert response.headers["Cache-Control"] == "no-store"
    assert client.post("/health/").status_code == 405


@pytest.mark.django_db
def test_a_worker_that_can_work_says_so_and_leaves_nothing(client: Browser, settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path
    response = client.get("/ready/")
    assert response.json() == {"database": "ok", "migrations": "ok", "media": "ok"}
    assert default_storage.listdir("ready") == ([], [])


@pytest.mark.django_db
def test_what_fails_is_named_and_why_stands_in_the_log_only(
    client: Browser, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, settings: Any, tmp_path: Any
) -> None:
    (tmp_path / "file").write_text("")
    settings.MEDIA_ROOT = tmp_path / "file"
    monkeypatch.setattr(MigrationExecutor, "migration_plan", lambda *_: ["one"])
    with caplog.at_level(logging.ERROR):
        response = client.get("/ready/")
    assert response.status_code == 503
    assert response.json() == {"database": "ok", "migrations": "failed", "media": "failed"}
    assert "1 migrations wait: run manage.py migrate" in caplog.text


@pytest.mark.django_db
def test_a_database_that_is_gone_is_told_and_asked_again(client: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as gone:
        gone.setattr(connection, "cursor", _gone)
        assert client.get("/ready/").json()["database"] == "failed"
        assert client.get("/health/").status_code == 200
    assert client.get("/ready/").json()["migrations"] == "ok"


def _gone(*_: Any) -> Any:
    raise ConnectionError("could not connect to server")
