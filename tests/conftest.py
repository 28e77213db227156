"""What holds for every test that touches a database."""

from collections.abc import Iterator

import pytest
from django.db import connection
from pytest_django import DjangoDbBlocker

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
