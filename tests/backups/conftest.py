"""A small register with rows, facts, an index and files, and what a test does with it."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from django.core.files.storage import FileSystemStorage
from django.db import connection

from registry.backups import sealing
from registry.backups.databases import Database, live_database
from registry.backups.making import Made, make_backup
from registry.backups.rehearsing import scratch_database
from registry.baselines.actions import freeze_baseline
from registry.equipment.documents import Sent, add_document
from registry.exchange.importing import import_survey
from sites.models import Role, Site, User
from tests.exchange.small_survey import SMALL

PASSPHRASE = "correct horse, invented"
PAPER = b"Wiring of the shop, sheet 1\n"


class Target(NamedTuple):
    """An empty database and folder that a backup is brought back into."""

    database: Database
    storage: FileSystemStorage


@pytest.fixture(autouse=True)
def _quick_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sealing.COST, "n", 2**10)


@pytest.fixture
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = str(tmp_path / "media")
    return tmp_path / "media"


@pytest.fixture
def register(media: Path, transactional_db: None) -> Site:
    """A site with a baseline, readings and a document, really kept: other programs see it."""
    by = User.objects.create_user("keeper", role=Role.MANAGER)
    import_survey({name: text.encode() for name, text in SMALL.items()}, by=by)
    site = Site.objects.get(code="acre")
    add_document(by=by, site=site, sent=Sent("wiring.txt", PAPER), values={"title": "Wiring", "kind": "manual"})
    freeze_baseline(by=by, site=site, reason="as agreed", with_exceptions=True)
    return site


@pytest.fixture
def made(register: Site, tmp_path: Path) -> Made:
    return make_backup(tmp_path / "register.tar.gz")


@pytest.fixture
def target(tmp_path: Path, register: Site) -> Iterator[Target]:
    with scratch_database(live_database(), tmp_path) as database:
        yield Target(database, FileSystemStorage(location=tmp_path / "brought"))


@pytest.fixture
def run(target: Target) -> Callable[[str], Any]:
    """Ask the target's database something, as another program would."""

    def ask(query: str) -> Any:
        if connection.vendor == "sqlite":
            import sqlite3

            other = sqlite3.connect(target.database.settings["NAME"], isolation_level=None)
            try:
                return other.execute(query).fetchall()
            finally:
                other.close()
        with target.database.connected() as other:  # type: ignore[attr-defined]
            found = other.execute(query)
            return found.fetchall() if found.description else []

    return ask
