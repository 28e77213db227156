"""Create or update rows by their natural key, in bulk, with history: what forms and imports share."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

from django.db import models
from django.dispatch import Signal

from sites.history import BATCH_SIZE, create_with_history, update_with_history
from sites.models import User

Key = tuple[Any, ...]
M = TypeVar("M", bound=models.Model)
EMPTY = (None, "")
# Sent with the rows of one table that a batch wrote, since Django sends no signal for rows written in bulk.
rows_put = Signal()


class Change(NamedTuple):
    """One row that a batch created, or the fields that it changed in one."""

    what: str
    key: Key
    new: bool
    fields: tuple[tuple[str, Any, Any], ...] = ()


class Problem(NamedTuple):
    """Why one row can't be taken: its table, key and field, and what to do."""

    what: str
    key: Key
    field: str
    says: str


class RefusedError(ValueError):
    """Raised by actions; nothing was written. `problems` holds one entry per fault."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = list(problems)
        super().__init__("; ".join(problem.says for problem in self.problems))


def refuse(what: str, key: Key, field_name: str, says: str) -> RefusedError:
    """Return a refusal with a single problem, to be raised."""
    return RefusedError([Problem(what, key, field_name, says)])


@dataclass
class Batch:
    """One piece of work by one person, and all that it changed.

    `blank_clears`: a form shows the whole row, so an empty field there means "clear it"; in a survey empty means not
    known, and what the register knows stays.
    """

    by: User | None
    blank_clears: bool = False
    changes: list[Change] = field(default_factory=list)


def put(batch: Batch, model: type[M], rows: Mapping[Key, Mapping[str, Any]], existing: Mapping[Key, M]) -> dict[Key, M]:
    """Write `rows` (attribute names to values, `_id` for references) and return the object of every key.

    Rows whose key is in `existing` are updated where they differ; equal ones are left alone, without history.
    """
    fresh: dict[Key, M] = {}
    touched: list[M] = []
    fields: set[str] = set()
    for key, values in rows.items():
        known = existing.get(key)
        if known is None:
            fresh[key] = model(**{name: value for name, value in values.items() if value not in EMPTY})
            batch.changes.append(Change(_name(model), key, True))
        elif altered := _altered(known, values, blank_clears=batch.blank_clears):
            touched.append(known)
            fields.update(name for name, _, _ in altered)
            batch.changes.append(Change(_name(model), key, False, altered))
    if fresh:
        create_with_history(list(fresh.values()), by=batch.by)
    if touched:
        update_with_history(touched, sorted(fields), by=batch.by)
    if fresh or touched:
        rows_put.send(model, rows=[*fresh.values(), *touched])
    return {key: fresh.get(key) or existing[key] for key in rows}


def put_facts(
    batch: Batch, model: type[M], rows: Mapping[Key, Mapping[str, Any]], existing: Mapping[Key, M]
) -> dict[Key, M]:
    """Insert facts that are not there yet. One that is there with another value is refused, never overwritten."""
    problems = [
        Problem(_name(model), key, name, f"already recorded as {old!r}; record a correction with its own time instead")
        for key, values in rows.items()
        if key in existing
        for name, old, _ in _altered_facts(existing[key], values)
    ]
    if problems:
        raise RefusedError(problems)
    fresh = {
        key: model(**{n: v for n, v in values.items() if v not in EMPTY})
        for key, values in rows.items()
        if key not in existing
    }
    model._default_manager.bulk_create(list(fresh.values()), batch_size=BATCH_SIZE)
    batch.changes.extend(Change(_name(model), key, True) for key in fresh)
    return {key: fresh.get(key) or existing[key] for key in rows}


def _altered(known: models.Model, values: Mapping[str, Any], *, blank_clears: bool) -> tuple[tuple[str, Any, Any], ...]:
    altered = []
    for name, value in values.items():
        if value in EMPTY and not blank_clears:
            continue
        old = getattr(known, name)
        if old != value:
            setattr(known, name, value)
            altered.append((name, old, value))
    return tuple(altered)


def _altered_facts(known: models.Model, values: Mapping[str, Any]) -> list[tuple[str, Any, Any]]:
    return [
        (name, getattr(known, name), value)
        for name, value in values.items()
        if name != "recorded_by_id" and (getattr(known, name) or None) != (value or None)
    ]


def _name(model: type[models.Model]) -> str:
    return str(model._meta.verbose_name)
