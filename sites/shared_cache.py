"""The cache that all workers share: a table of the database, so that a count is one count however many there are."""

from typing import Any

from django.core.management import call_command


def make_after_migrate(using: str, **_: Any) -> None:
    """Receive `post_migrate`. Twice does no harm."""
    call_command("createcachetable", database=using, verbosity=0)
