"""A database of its own for programs that run beside the tests: of the kind that the tests run on."""

import os
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
from psycopg.sql import SQL, Identifier


@contextmanager
def real_database(folder: Path, *, like: str = "") -> Iterator[str]:
    """Make a database, yield its address as DATABASE_URL, and drop it. It is empty, or a copy of another, by its name.

    To copy one that is laid out takes a moment, to migrate a new one many seconds.
    """
    server = os.environ.get("DATABASE_URL", "")
    if server.startswith("postgres"):
        with _on_server(server, like or "template1") as url:
            yield url
        return
    path = folder / "real.sqlite3"
    if like:
        with closing(sqlite3.connect(like)) as source, closing(sqlite3.connect(path)) as target:
            source.backup(target)
    yield f"sqlite:///{path}"


@contextmanager
def _on_server(server: str, like: str) -> Iterator[str]:
    name = f"evenkeel_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(SQL("CREATE DATABASE {} TEMPLATE {}").format(Identifier(name), Identifier(like)))
        try:
            yield urlsplit(server)._replace(path=f"/{name}").geturl()
        finally:
            connection.execute(SQL("DROP DATABASE {} WITH (FORCE)").format(Identifier(name)))


def environment(url: str, **more: str) -> dict[str, str]:
    """Return the environment of a program that uses it, with nothing of the tests' own."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("EVENKEEL_", "DJANGO_", "AWS_", "DATABASE_"))}
    return kept | {"DATABASE_URL": url, "PYTHONDONTWRITEBYTECODE": "1"} | more
