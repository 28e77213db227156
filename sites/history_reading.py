"""What stands behind the lines of the log, in words: which row it was, and what changed in it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.apps import apps
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ObjectDoesNotExist
from django.db.models import ForeignKey, JSONField, Model, OuterRef, QuerySet, Subquery

from sites.changes import NOBODY, NOTHING, FieldChange, changes_since, said
from sites.facts import Fact
from sites.models import Deed, HistoryEntry, Role, User
from sites.versions import has_versions


def history_visible_to(user: User | AnonymousUser) -> QuerySet[HistoryEntry]:
    """Return the log that `user` may read: all of it for who maintains the sites, nothing for owners and programs."""
    if isinstance(user, User) and user.is_active and user.role in {Role.MANAGER, Role.TECH}:
        return HistoryEntry.objects.select_related("by", "site")
    return HistoryEntry.objects.none()


def people_in_history() -> QuerySet[User]:
    """Return who has an account, for a choice."""
    return User.objects.exclude(role=Role.PROGRAM).order_by("first_name", "last_name", "username")


def logged_models() -> list[type[Model]]:
    """Return the tables whose writes are logged, by what people call them."""
    logged = [model for model in apps.get_models() if has_versions(model) or _is_logged_fact(model)]
    return sorted(logged, key=lambda model: str(model._meta.verbose_name))


def _is_logged_fact(model: type[Model]) -> bool:
    return issubclass(model, Fact) and model.logged


def tell(entries: Sequence[Any]) -> None:
    """Give every entry `what` (the row in words) and `changes`; it costs queries for each kind, not for each row."""
    by_kind: dict[str, list[Any]] = defaultdict(list)
    for entry in entries:
        by_kind[entry.kind].append(entry)
    for kind, group in by_kind.items():
        model = apps.get_model(kind)
        found, earlier = _facts(model, group) if issubclass(model, Fact) else _history(model, group)
        for entry in group:
            row = found.get(entry.row)
            entry.what = _words(model, row) if row is not None else str(entry.object_id)
            entry.changes = _changes(entry, row, earlier.get(entry.row))


def _facts(model: type[Model], entries: Iterable[Any]) -> tuple[dict[int, Any], dict[int, Any]]:
    rows = model._base_manager.select_related(*_paths(model)).in_bulk([entry.row for entry in entries])
    return dict(rows), {}


def _history(model: Any, entries: Iterable[Any]) -> tuple[dict[int, Any], dict[int, Any]]:
    """Return history rows, and the one before each, by the id of the former."""
    table, pk = model.history.model, model._meta.pk.attname
    rows = table._base_manager.select_related("history_user", *_paths(table))
    older = table._base_manager.filter(**{pk: OuterRef(pk), "history_id__lt": OuterRef("history_id")})
    before = Subquery(older.order_by("-history_id").values("history_id")[:1])
    found = rows.annotate(earlier=before).in_bulk([entry.row for entry in entries])
    earlier = rows.in_bulk([row.earlier for row in found.values() if row.earlier])
    return found, {key: earlier[row.earlier] for key, row in found.items() if row.earlier in earlier}


def _paths(table: type[Model]) -> list[str]:
    """Return the references of a table and those of the tables they lead to: rows are named by them."""
    paths = []
    for field in _references(table):
        paths += [field.name, *(f"{field.name}__{each.name}" for each in _references(field.related_model))]
    return paths


def _references(table: Any) -> list[Any]:
    return [
        field
        for field in table._meta.concrete_fields
        if isinstance(field, ForeignKey) and field.name not in {"history_user", "history_relation"}
    ]


def _words(model: Any, row: Any) -> str:
    try:
        return str(model.__str__(row))
    except (AttributeError, ObjectDoesNotExist, TypeError):
        # A history row lacks what the class computes, and what it names may be gone.
        return str(getattr(row, model._meta.pk.attname))


def _held(entry: Any, row: Fact) -> list[FieldChange]:
    """Return what a fact holds; whole documents (a baseline's content) have pages of their own."""
    fields = [
        field for field in row._meta.concrete_fields if not field.primary_key and not isinstance(field, JSONField)
    ]
    told = [(field, said(row, field)) for field in fields]
    return [
        FieldChange(field.attname, str(field.verbose_name), NOTHING, words, str(entry.by or NOBODY), entry.at)
        for field, words in told
        if words != NOTHING
    ]


def _changes(entry: Any, row: Any, before: Any) -> list[FieldChange]:
    if row is None or entry.deed == Deed.REMOVED:
        return []
    if isinstance(row, Fact):
        return _held(entry, row)
    rows = [row] if before is None else [before, row]
    return list(changes_since(rows, known_before=before is not None).values())
