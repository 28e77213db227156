"""What the register holds, cheaply: the rows of every table counted by one query, and a digest of all of it."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.db import connection, models

Counts = dict[str, int]


def tables() -> list[type[models.Model]]:
    """Return every table, histories and facts included."""
    return [
        model for model in apps.get_models(include_auto_created=True) if model._meta.managed and not model._meta.proxy
    ]


def counts() -> Counts:
    """Return the number of rows of every table."""
    names = [model._meta.db_table for model in tables()]
    quoted = [connection.ops.quote_name(name) for name in names]
    with connection.cursor() as cursor:
        cursor.execute(
            " UNION ALL ".join(f"SELECT '{n}', count(*) FROM {q}" for n, q in zip(names, quoted, strict=True))
        )
        return dict(cursor.fetchall())


def digest() -> str:
    """Return a digest of every row of every table."""
    found = hashlib.sha256()
    for model in tables():
        for row in model._base_manager.order_by("pk").values_list():
            found.update(repr(row).encode("utf-8", "surrogatepass"))
    return found.hexdigest()


@contextmanager
def unchanged() -> Iterator[None]:
    """Hold that nothing is written meanwhile."""
    before = (counts(), digest())
    yield
    assert (counts(), digest()) == before


def refused(action: Callable[[], Any], *errors: type[Exception]) -> bool:
    """Run an action in whatever way it ends; whether it was refused, after making sure that it wrote nothing then."""
    before = (counts(), digest())
    try:
        action()
    except errors:
        assert (counts(), digest()) == before
        return True
    return False
