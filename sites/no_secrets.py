"""No row is saved with a secret in its prose: the fields that carry `refuse_secret`, whoever writes them."""

from collections.abc import Iterable
from functools import cache
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Model

from sites.put import Problem, RefusedError
from sites.secret_scan import refuse_secret


def refuse_secrets_in(*rows: Model) -> None:
    """Refuse rows with a secret in a field of prose; for actions that call `clean_fields`."""
    if problems := [problem for row in rows for problem in _problems(row)]:
        raise RefusedError(problems)


def refuse_saving(sender: type[Model], instance: Model, raw: bool = False, **_: Any) -> None:
    """Receive Django's signal before a single row is saved."""
    if not raw:
        refuse_secrets_in(instance)


def refuse_putting(sender: type[Model], rows: Iterable[Model], **_: Any) -> None:
    """Receive the signal of a bulk write, inside its transaction."""
    if prose_of(sender):
        refuse_secrets_in(*rows)


@cache
def prose_of(model: type[Model]) -> tuple[str, ...]:
    """Return the fields of a model in which somebody might write a secret."""
    if hasattr(model, "instance_type"):
        return ()  # a history copies what was taken already
    return tuple(field.attname for field in model._meta.concrete_fields if refuse_secret in field.validators)


def _problems(row: Model) -> Iterable[Problem]:
    for name in prose_of(type(row)):
        try:
            refuse_secret(getattr(row, name) or "")
        except ValidationError as error:
            yield Problem(str(row._meta.verbose_name), (row.pk,), name, str(error.message))
