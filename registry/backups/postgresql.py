"""PostgreSQL: copied by pg_dump and brought back by pg_restore, which load the rows before any trigger is there."""

import hashlib
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, ClassVar, Final

import psycopg
from django.db.backends.postgresql.client import DatabaseClient
from django.db.utils import ConnectionHandler

from registry.backups.databases import Database, described
from registry.backups.errors import BackupError
from registry.backups.manifest import Content, Table

# The same text for the same value, wherever the server stands.
PLAIN: Final = """
    SET LOCAL TimeZone = 'UTC'; SET LOCAL DateStyle = 'ISO, YMD'; SET LOCAL IntervalStyle = 'iso_8601';
    SET LOCAL extra_float_digits = 1; SET LOCAL bytea_output = 'hex'; SET LOCAL client_encoding = 'UTF8'
"""
TABLES: Final = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY tablename"
KEYS: Final = """
    SELECT a.attname FROM pg_index i JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = ANY(i.indkey)
    WHERE i.indisprimary AND i.indrelid = %s::regclass ORDER BY array_position(i.indkey::int[], a.attnum::int)
"""
GUARDS: Final = """
    SELECT 'trigger ' || relname || ' ' || tgname FROM pg_trigger JOIN pg_class c ON c.oid = tgrelid
    WHERE NOT tgisinternal AND tgenabled = 'O'
    UNION ALL SELECT 'index ' || indexname FROM pg_indexes WHERE schemaname = 'public'
    UNION ALL SELECT 'constraint ' || conrelid::regclass || ' ' || conname FROM pg_constraint
    WHERE connamespace = 'public'::regnamespace AND convalidated AND contype <> 'n'
"""
FUNCTIONS: Final = """
    SELECT p.oid::regprocedure::text FROM pg_proc p WHERE pronamespace = 'public'::regnamespace
    AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')
"""


class PostgreSQL(Database):
    """A register on a server."""

    kind: ClassVar[str] = "postgresql"

    def copy_to(self, file: Path) -> Content:
        """Dump and look at one exported snapshot, so that both see the same moment."""
        with self.connected() as connection, connection.transaction():
            connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            (snapshot,) = connection.execute("SELECT pg_export_snapshot()").fetchone() or ("",)
            self._run("pg_dump", "-Fc", "-Z0", "--no-comments", f"--snapshot={snapshot}", f"--file={file}")
            return _content(connection)

    def check(self, file: Path) -> None:
        """Refuse what pg_restore can't read: damaged, or from a newer pg_dump."""
        self._run("pg_restore", "--list", str(file), connect=False)

    def load(self, file: Path) -> None:
        """Drop what is there and load, in one transaction: when anything fails, all of it stays as it was."""
        script = file.with_suffix(".sql")
        with self.connected() as connection:
            drops = [f'DROP TABLE "{name}" CASCADE;' for (name,) in connection.execute(TABLES)]
            drops += [f"DROP FUNCTION {name} CASCADE;" for (name,) in connection.execute(FUNCTIONS)]
        # A file, not a pipe: psql would take a script that breaks off for a whole one.
        self._run("pg_restore", "--no-owner", "--no-privileges", f"--file={script}", str(file), connect=False)
        before = file.with_suffix(".drop")
        before.write_text("\n".join(drops), encoding="utf-8")
        stop = ("--no-psqlrc", "--quiet", "--single-transaction", "--set=ON_ERROR_STOP=1")
        self._run("psql", *stop, "--output=/dev/null", f"--file={before}", f"--file={script}")

    def content(self) -> Content:
        """Look within one transaction."""
        with self.connected() as connection, connection.transaction():
            connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            return _content(connection)

    def is_empty(self) -> bool:
        """Return whether there are no tables."""
        with self.connected() as connection:
            return not connection.execute(TABLES).fetchone()

    @contextmanager
    def connected(self) -> Iterator[psycopg.Connection]:
        """Give a connection of its own, apart from the register's."""
        parameters = ConnectionHandler({"default": self.settings})["default"].get_connection_params()
        wanted = {name: value for name, value in parameters.items() if name not in {"cursor_factory", "context"}}
        try:
            connection = psycopg.connect(**wanted, autocommit=True)
        except psycopg.OperationalError as error:
            raise BackupError(f"the database can't be reached: {error}") from error
        with connection:
            yield connection

    def _run(self, program: str, *arguments: str, connect: bool = True) -> None:
        """Run one of PostgreSQL's programs; the password goes by the environment."""
        (_, *where, name), environment = DatabaseClient.settings_to_cmd_args_env(self.settings, [])
        to = [*where, f"--dbname={name}"] if connect else []
        try:
            done = subprocess.run(  # noqa: S603
                [program, *to, *arguments], env=os.environ | (environment or {}), capture_output=True, check=False
            )
        except FileNotFoundError as error:
            raise BackupError(f"{program} is missing: install PostgreSQL's client programs") from error
        if done.returncode:
            raise BackupError(f"{program} failed: {done.stderr.decode(errors='replace').strip()[-600:]}")


def _content(connection: psycopg.Connection) -> Content:
    connection.execute(PLAIN)
    names = [str(name) for (name,) in connection.execute(TABLES)]

    def ask(query: str) -> Any:
        return connection.execute(query)

    return described(PostgreSQL.kind, ask, {name: _table(connection, name) for name in names}, GUARDS)


def _table(connection: psycopg.Connection, name: str) -> Table:
    """Count and digest the rows in the order of their key, as COPY writes them: one line each."""
    keys = [f'"{key}"::text COLLATE "C"' for (key,) in connection.execute(KEYS, [f'public."{name}"'])]
    order = ", ".join(keys) or 't::text COLLATE "C"'
    digest, rows = hashlib.sha256(), 0
    with connection.cursor() as cursor:
        query = f'COPY (SELECT t.* FROM public."{name}" t ORDER BY {order}) TO STDOUT'  # noqa: S608
        with cursor.copy(query) as lines:
            for data in lines:
                digest.update(data)
                rows += bytes(data).count(b"\n")
    return Table(rows, digest.hexdigest())
