"""Rehearse: bring a backup back where nobody works, compare all of it, and leave nothing behind."""

import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple
from uuid import uuid4

import psycopg
from django.core.files.storage import FileSystemStorage

from registry.backups.bringing_back import bring_back
from registry.backups.databases import Database, live_database
from registry.backups.errors import BackupError
from registry.backups.making import make_backup, newest_backup
from registry.backups.manifest import Manifest
from registry.backups.postgresql import PostgreSQL
from registry.backups.sqlite import SQLite


class Rehearsed(NamedTuple):
    """What was brought back, how long that took, and which files nobody has any more."""

    manifest: Manifest
    seconds: float
    lost: list[str]


def rehearse(where: Path | None = None, *, passphrase: str = "") -> Rehearsed:
    """Bring back the backup `where`, the newest in the folder `where`, or one that is made now and then removed."""
    with tempfile.TemporaryDirectory(prefix="evenkeel-rehearsal-") as name:
        folder = Path(name)
        missing: list[str] = []
        if where is None:
            where, _, missing = make_backup(folder / "backup", passphrase=passphrase)
        elif where.is_dir():
            where = newest_backup(where)
        began = time.monotonic()
        with scratch_database(live_database(), folder) as scratch:
            storage = FileSystemStorage(location=folder / "media")
            manifest = bring_back(where, into=scratch, storage=storage, passphrase=passphrase)
        return Rehearsed(manifest, time.monotonic() - began, missing)


@contextmanager
def scratch_database(live: Database, folder: Path) -> Iterator[Database]:
    """Give an empty database of the same kind as the register's, for a while."""
    if isinstance(live, SQLite):
        yield SQLite(live.settings | {"NAME": str(folder / "scratch.sqlite3")})
        return
    assert isinstance(live, PostgreSQL)
    name = f"evenkeel_rehearsal_{uuid4().hex[:12]}"
    with live.connected() as server:
        try:
            server.execute(f"CREATE DATABASE \"{name}\" TEMPLATE template0 ENCODING 'UTF8'")
        except psycopg.errors.InsufficientPrivilege as error:
            raise BackupError("a rehearsal needs a scratch database: ALTER ROLE … CREATEDB for this role") from error
        try:
            yield PostgreSQL(live.settings | {"NAME": name})
        finally:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
