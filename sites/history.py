"""Writes that are told: every row of a history and every fact gets its line in the log, in the same transaction.

Single saves and facts do it by themselves (`SitesConfig.ready`, `sites.facts`). Bulk writes go through the two
functions here: Django's own tell nobody.
"""

from collections.abc import Sequence
from functools import cache
from typing import Any, Final, TypeVar

from django.apps import apps
from django.db import models, transaction
from django.utils import timezone
from simple_history.models import HistoricalRecords

from sites.log import tell_when_written
from sites.origin import origin_now

M = TypeVar("M", bound=models.Model)
BATCH_SIZE: Final = 500
RECORDED: Final = "+"


@transaction.atomic
def create_with_history(rows: Sequence[M], *, by: Any) -> list[M]:
    """Insert rows of one table, each with its history."""
    if not rows:
        return []
    model = type(rows[0])
    made = model._default_manager.bulk_create(rows, batch_size=BATCH_SIZE)
    log_history(_history(model).bulk_history_create(made, batch_size=BATCH_SIZE, default_user=by))
    return made


@transaction.atomic
def update_with_history(rows: Sequence[M], fields: Sequence[str], *, by: Any) -> None:
    """Update these fields of rows of one table, each with its history."""
    if not rows:
        return
    model = type(rows[0])
    model._default_manager.bulk_update(rows, fields, batch_size=BATCH_SIZE)
    log_history(_history(model).bulk_history_create(rows, batch_size=BATCH_SIZE, update=True, default_user=by))


def _history(model: type[models.Model]) -> Any:
    return model.history  # type: ignore[attr-defined]


def log_history(rows: Sequence[Any]) -> None:
    """Log rows of one table's history."""
    if not rows:
        return
    model = rows[0].instance_type
    pk = model._meta.pk.attname
    sites = _sites(model, rows)
    _log(
        _entry(model, getattr(row, pk), row.history_id, row.history_type, sites.get(at), row.history_date)
        | {"by_id": row.history_user_id}
        for at, row in enumerate(rows)
    )


def log_one(history_instance: Any, **_: Any) -> None:
    """Receive simple-history's signal after it recorded a single save or deletion."""
    log_history([history_instance])


def log_facts(rows: Sequence[Any]) -> None:
    """Log facts of one table; those that are part of another fact are told with it."""
    if not rows or not rows[0].logged:
        return
    model: type[models.Model] = type(rows[0])
    now = timezone.now()
    sites, who = _sites(model, rows), _author_of(model)
    _log(
        _entry(model, row.pk, row.pk, RECORDED, sites.get(at), now)
        | {"by_id": (getattr(row, who) if who else None) or _signed_in()}
        for at, row in enumerate(rows)
    )


def _log(entries: Any) -> None:
    rows = list(entries)
    entry = apps.get_model("client_sites", "HistoryEntry")
    entry._default_manager.bulk_create([entry(**values) for values in rows], batch_size=BATCH_SIZE)
    tell_when_written(rows)


def _entry(model: Any, object_id: int, row: int, deed: str, site_id: int | None, at: Any) -> dict[str, Any]:
    origin = origin_now()
    here = {"way": origin.way, "name": origin.name[:60], "address": origin.address}
    said = {"kind": model._meta.label_lower, "object_id": object_id, "row": row, "deed": deed}
    return said | here | {"site_id": site_id, "at": at}


def _signed_in() -> int | None:
    user = origin_now().user or getattr(getattr(HistoricalRecords.context, "request", None), "user", None)
    return getattr(user, "pk", None)


@cache
def _author_of(model: type[models.Model]) -> str:
    """Return the column that says who recorded a fact; empty when there is none."""
    user = apps.get_model("client_sites", "User")
    columns = [field.attname for field in model._meta.concrete_fields if field.related_model is user]
    return "by_id" if "by_id" in columns else columns[0] if columns else ""


@cache
def site_path(model: type[models.Model]) -> tuple[str, ...]:
    """Return the shortest way by references from a table to its site: ("loudspeaker", "site"); empty without one."""
    site = apps.get_model("client_sites", "Site")
    paths: list[tuple[type[models.Model], tuple[str, ...]]] = [(model, ())]
    seen = {model}
    for table, path in paths:
        if table is site:
            return path or ("pk",)
        for field in table._meta.concrete_fields:
            target = field.related_model
            if isinstance(field, models.ForeignKey) and isinstance(target, type) and target not in seen:
                seen.add(target)
                paths.append((target, (*path, field.name)))
    return ()


def _sites(model: type[models.Model], rows: Sequence[Any]) -> dict[int, int]:
    """Return the site of every row by its position, with one query at most."""
    path = site_path(model)
    if not path:
        return {}
    if path == ("pk",):
        return {at: row.id for at, row in enumerate(rows)}
    first = model._meta.get_field(path[0])
    keys = {at: getattr(row, first.attname) for at, row in enumerate(rows)}  # type: ignore[union-attr]
    if len(path) == 1:
        return {at: key for at, key in keys.items() if key is not None}
    target: Any = first.related_model
    found = dict(target._base_manager.filter(pk__in=set(keys.values())).values_list("pk", "__".join(path[1:])))
    return {at: found[key] for at, key in keys.items() if found.get(key) is not None}
