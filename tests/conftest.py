"""What holds for every test that touches a database."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection
from pytest_django import DjangoDbBlocker

from sites.append_only import drop_statements

OTHERS = """
    SELECT pg_terminate_backend(pid) FROM pg_stat_activity
    WHERE datname = current_database() AND pid <> pg_backend_pid()
"""


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """End what a thread left connected: PostgreSQL drops no database that somebody still uses."""
    yield
    if connection.vendor == "postgresql":
        with django_db_blocker.unblock(), connection.cursor() as cursor:
            cursor.execute(OTHERS)


@pytest.fixture(scope="session", autouse=True)
def _tables_are_emptied_between_tests() -> Iterator[None]:
    """Take the append-only triggers away before a flush; `post_migrate`, which follows every flush, sets them up again.

    The program has no such way: `manage.py flush` is refused.
    """
    operations: Any = type(connection.ops)
    usual = operations.sql_flush

    def sql_flush(self: Any, style: Any, tables: Any, **options: Any) -> list[str]:
        statements: list[str] = usual(self, style, tables, **options)
        return [*drop_statements(connection), *statements] if tables else statements

    with pytest.MonkeyPatch.context() as patched:
        sql_flush.__wrapped__ = usual  # type: ignore[attr-defined]
        patched.setattr(operations, "sql_flush", sql_flush)
        yield
