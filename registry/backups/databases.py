"""One way to speak to both kinds of database, whichever address they have."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, ClassVar

from django.apps import apps
from django.db import connection
from django.db.models import FileField

from registry.backups.errors import BackupError
from registry.backups.manifest import Content, Table
from registry.settings import database

Ask = Callable[[str], Iterable[tuple[Any, ...]]]


class Database(ABC):
    """A database that is backed up, or that a backup is brought back into."""

    kind: ClassVar[str]

    def __init__(self, settings: dict[str, Any]) -> None:
        self.settings = settings

    @abstractmethod
    def copy_to(self, file: Path) -> Content:
        """Write one moment of the database into a file, while others go on writing, and return what it held."""

    @abstractmethod
    def load(self, file: Path) -> None:
        """Put that file in place of whatever the database holds: wholly or not at all."""

    @abstractmethod
    def check(self, file: Path) -> None:
        """Raise BackupError when the file can't be loaded here; nothing is touched."""

    @abstractmethod
    def content(self) -> Content:
        """Return what the database holds."""

    @abstractmethod
    def is_empty(self) -> bool:
        """Return whether there are no tables, or no database at all."""


def live_database() -> Database:
    """Return the register's own database."""
    return _of(dict(connection.settings_dict))


def database_at(url: str) -> Database:
    """Return the database at an address as `DATABASE_URL` has it."""
    try:
        settings = database(url)
    except Exception as error:  # the library raises what the parts of an address raise
        raise BackupError("--into needs an address like DATABASE_URL: sqlite:////FULL/PATH or postgres://…") from error
    return _of(connection.settings_dict | settings | {"OPTIONS": settings.get("OPTIONS", {})})


def _of(settings: dict[str, Any]) -> Database:
    from registry.backups.postgresql import PostgreSQL
    from registry.backups.sqlite import SQLite

    kinds: dict[str, type[Database]] = {"sqlite3": SQLite, "postgresql": PostgreSQL}
    name = settings["ENGINE"].rpartition(".")[2]
    if name not in kinds:
        raise BackupError("backups are for SQLite and PostgreSQL")
    return kinds[name](settings)


def described(kind: str, ask: Ask, tables: dict[str, Table], guards: str) -> Content:
    """Return what both kinds are asked in the same words."""
    migrations = (
        sorted(f"{app}.{name}" for app, name in ask("SELECT app, name FROM django_migrations"))
        if "django_migrations" in tables
        else []
    )
    return Content(
        kind=kind,
        tables=tables,
        guards=sorted(name for (name,) in ask(guards)),
        migrations=migrations,
        files=sorted({name for column in _file_columns() if column[0] in tables for name in _named(ask, *column)}),
    )


def _file_columns() -> Iterator[tuple[str, str]]:
    for model in apps.get_models():
        for column in model._meta.local_fields:
            if isinstance(column, FileField):
                yield model._meta.db_table, str(column.column)


def _named(ask: Ask, table: str, column: str) -> Iterator[str]:
    # Names of tables and columns come from the models, never from outside.
    for (name,) in ask(f'SELECT DISTINCT "{column}" FROM "{table}"'):  # noqa: S608
        if name:
            yield name
