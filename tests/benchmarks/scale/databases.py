"""The small and the large register side by side, of which the app sees one at a time."""

import copy
import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr
from pathlib import Path
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections

LARGE = "large"


class Registers:
    """Two test databases behind Django's one connection; `seen("large")` chooses."""

    def __init__(self) -> None:
        self.small: Any = connections[DEFAULT_DB_ALIAS]
        self.large: Any = None

    def create(self, fill: Callable[[], None]) -> None:
        """Make the small one, `fill` it, and make the other one as its copy."""
        with redirect_stderr(io.StringIO()):
            self.small.creation.create_test_db(verbosity=0, autoclobber=True)
        fill()
        self.small.close()
        self._open_large()
        if self.small.vendor == "sqlite":
            self._copy_file(self.large.settings_dict["NAME"])
        else:
            self._copy_database(self.large.settings_dict["NAME"])

    def open(self) -> None:
        """Use the two that an earlier run kept."""
        with redirect_stderr(io.StringIO()):
            self.small.creation.create_test_db(verbosity=0, autoclobber=True, keepdb=True)
        self._open_large()

    def _open_large(self) -> None:
        settings = self.small.creation.get_test_db_clone_settings(LARGE)
        if self.small.vendor == "sqlite":
            settings["NAME"] = f"{self.small.settings_dict['NAME']}.{LARGE}"
        self.large = type(self.small)(copy.deepcopy(settings), alias=DEFAULT_DB_ALIAS)

    def _copy_file(self, name: str) -> None:
        with self.small.cursor() as cursor:
            _delete_file(name)
            cursor.execute("VACUUM INTO %s", [name])

    def _copy_database(self, name: str) -> None:
        quote = self.small.ops.quote_name
        with self.small.creation._nodb_cursor() as cursor:
            cursor.execute(f"DROP DATABASE IF EXISTS {quote(name)}")
            cursor.execute(f"CREATE DATABASE {quote(name)} TEMPLATE {quote(self.small.settings_dict['NAME'])}")

    @contextmanager
    def seen(self, size: str) -> Iterator[Any]:
        """Let the app see the small or the large register."""
        connections[DEFAULT_DB_ALIAS] = self.large if size == LARGE else self.small
        try:
            yield connections[DEFAULT_DB_ALIAS]
        finally:
            connections[DEFAULT_DB_ALIAS] = self.small

    def drop(self) -> None:
        """Drop both."""
        name = self.large.settings_dict["NAME"]
        self.large.close()
        if self.small.vendor == "sqlite":
            _delete_file(name)
        else:
            with self.small.creation._nodb_cursor() as cursor:
                cursor.execute(f"DROP DATABASE {self.small.ops.quote_name(name)}")
        self.small.creation.destroy_test_db(self.small.settings_dict["NAME"], verbosity=0)


def _delete_file(name: str) -> None:
    """Delete an SQLite database with what stands beside it."""
    for ending in ("", "-wal", "-shm"):
        Path(f"{name}{ending}").unlink(missing_ok=True)
