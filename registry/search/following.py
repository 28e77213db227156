"""Keep the index in step with the register, whoever writes: forms, imports, commands, the administration."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_delete, post_migrate, post_save

from registry.search.indexing import KIND_OF, forget_row, index_rows, index_what_is_missing
from sites.put import rows_put


def follow(app: AppConfig) -> None:
    """Listen to every way in which a row comes, changes or goes."""
    for model in KIND_OF:
        post_save.connect(_saved, sender=model, dispatch_uid=f"search {model.__name__}")
        post_delete.connect(_deleted, sender=model, dispatch_uid=f"search {model.__name__}")
        rows_put.connect(_put, sender=model, dispatch_uid=f"search {model.__name__}")
    post_migrate.connect(_fill_when_empty, sender=app, dispatch_uid="search")


def _saved(sender: Any, instance: Any, raw: bool = False, **_: Any) -> None:
    if not raw:
        index_rows(KIND_OF[sender], [instance])


def _put(sender: Any, rows: Any, **_: Any) -> None:
    index_rows(KIND_OF[sender], rows)


def _deleted(sender: Any, instance: Any, **_: Any) -> None:
    forget_row(KIND_OF[sender], instance.pk)


def _fill_when_empty(**_: Any) -> None:
    """Fill the index of a register that is older than it, or than a kind of it."""
    index_what_is_missing()
