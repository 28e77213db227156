"""SQLite: copied by its own backup interface. A plain copy of a running register's file can be stale or torn."""

import hashlib
import os
import sqlite3
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, ClassVar, Final

from registry.backups.databases import Database, described
from registry.backups.errors import BackupError
from registry.backups.manifest import Content, Table
from sites.durable_files import force_to_disk

# Of a full-text index only the tables underneath it hold anything.
TABLES: Final = """
    SELECT name FROM sqlite_master
    WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' AND sql NOT LIKE 'CREATE VIRTUAL%' ORDER BY name
"""
GUARDS: Final = "SELECT type || ' ' || name FROM sqlite_master WHERE type <> 'table' OR sql LIKE 'CREATE VIRTUAL%'"
WAIT: Final = 20


class SQLite(Database):
    """A register in a file."""

    kind: ClassVar[str] = "sqlite"

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return Path(self.settings["NAME"])

    def copy_to(self, file: Path) -> Content:
        """Look and copy within one transaction that only reads, so that both see the same moment."""
        if not self.path.is_file():
            raise BackupError(f"there is no database at {self.path}")
        with _open(self.path) as source, _open(file) as copy:
            source.execute("BEGIN")
            content = _content(source)
            source.backup(copy)
            source.execute("COMMIT")
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, not three
            _refuse_damaged(copy, self.path)
        return content

    def check(self, file: Path) -> None:
        """Refuse what isn't a sound SQLite file."""
        with _open(file) as copy:
            try:
                _refuse_damaged(copy, file)
            except sqlite3.DatabaseError as error:
                raise BackupError(f"the database in this backup can't be opened: {error}") from error

    def load(self, file: Path) -> None:
        """Write a new file beside the old one, then give it the name; the old one is kept under another name."""
        fresh = self.path.with_name(f".{self.path.name}.{os.getpid()}.partial")
        try:
            with _open(file) as source, _open(fresh) as target:
                source.backup(target)
            force_to_disk(fresh)
            if self.path.exists():
                self._set_aside()
            fresh.replace(self.path)
            force_to_disk(self.path)
        finally:
            fresh.unlink(missing_ok=True)

    def _set_aside(self) -> None:
        try:
            with _open(self.path, wait=1) as old:
                old.execute("PRAGMA journal_mode = DELETE").fetchone()
        except sqlite3.OperationalError as error:
            raise BackupError(f"{self.path} is in use ({error}): stop the register first") from error
        stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
        self.path.rename(self.path.with_name(f"{self.path.name}.before-{stamp}"))

    def content(self) -> Content:
        """Look within one transaction."""
        with _open(self.path) as source:
            source.execute("BEGIN")
            return _content(source)

    def is_empty(self) -> bool:
        """Return whether there is no file, or one without tables."""
        if not self.path.exists():
            return True
        with _open(self.path) as source:
            return not source.execute("SELECT 1 FROM sqlite_master").fetchone()


@contextmanager
def _open(path: Path, wait: int = WAIT) -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(path, timeout=wait, isolation_level=None)
    try:
        yield connection
    finally:
        connection.close()


def _refuse_damaged(connection: sqlite3.Connection, path: Path) -> None:
    says = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(3)")]
    says += [f"{row[0]} row {row[1]} points to nothing" for row in connection.execute("PRAGMA foreign_key_check")]
    if says != ["ok"]:
        raise BackupError(f"the database {path.name} is damaged: {'; '.join(says[:3])}")


def _content(connection: sqlite3.Connection) -> Content:
    names = [name for (name,) in connection.execute(TABLES)]
    return described(SQLite.kind, connection.execute, {name: _table(connection, name) for name in names}, GUARDS)


def _table(connection: sqlite3.Connection, name: str) -> Table:
    """Count and digest the rows in the order of their key; type, length and bytes of every value count."""
    columns = connection.execute("SELECT name, pk FROM pragma_table_info(?)", [name]).fetchall()
    keys = [f'"{column}"' for column, place in sorted(columns, key=lambda known: known[1]) if place] or ["rowid"]
    digest, rows = hashlib.sha256(repr([column for column, _ in columns]).encode()), 0
    for row in connection.execute(f'SELECT * FROM "{name}" ORDER BY {", ".join(keys)}'):  # noqa: S608
        rows += 1
        digest.update(b"".join(_plain(value) for value in row) + b"\n")
    return Table(rows, digest.hexdigest())


def _plain(value: Any) -> bytes:
    if isinstance(value, float):
        return b"f" + struct.pack(">d", value)
    data = value if isinstance(value, bytes) else str(value).encode()
    return f"{type(value).__name__[0]}{len(data)}:".encode() + data
