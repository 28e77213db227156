"""Which version of a row somebody is looking at, so that of two people who change it the second one is told.

A version counts the rows of the history, which only ever grows: of the row itself and of the rows that are edited with
it, which its model names in `edited_with`. It is the same for the pages' forms and for the API's ETag.
"""

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar, cast

from django.db.models import CharField, Count, Model, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Cast, Coalesce, Concat

from sites.changes import FieldChange, changes_since, rows_changed

M = TypeVar("M", bound=Model)
LOADED = "row_version"


class ChangedMeanwhileError(ValueError):
    """Raised by actions when a row is not the version that the writer saw; nothing was written.

    `changes` says what the others changed and the writer would have overwritten; `version` is the one now.
    """

    def __init__(self, row: Model, changes: Sequence[FieldChange], version: str) -> None:
        self.changes, self.version = list(changes), version
        names = ", ".join(change.label for change in changes)
        people = " and ".join(dict.fromkeys(change.by for change in changes))
        super().__init__(f"{people} changed {row} meanwhile ({names}): read it again, then save once more")


def has_versions(model: type[Model]) -> bool:
    """Return whether rows of a table can be told apart by version: those that keep a history."""
    return hasattr(model._meta, "simple_history_manager_attribute")


def with_version(rows: QuerySet[M]) -> QuerySet[M]:
    """Return the same rows, each loaded with its version: what a form shows and its version then fit together."""
    if not has_versions(rows.model):
        return rows
    counts = [_counted(history, column) for history, column in _histories(rows.model)]
    parts: list[Any] = [part for count in counts for part in (Value("-"), count)]
    return cast("QuerySet[M]", rows.annotate(**{LOADED: Concat(Value(""), *parts[1:], output_field=CharField())}))


def version_of(row: Model) -> str:
    """Return the version of a row: the one it was loaded with, else the one now (one query).

    Two versions are equal when nothing that its form writes was saved in between. What is derived from other rows and
    not in the history (verdicts, drift) doesn't count: good for If-Match, not for a cache of whole pages.
    """
    return cast("str", getattr(row, LOADED, None) or _version_now(row))


def check_version(row: Model | None, version: str | None, values: Mapping[str, Any]) -> None:
    """Lock a row and raise ChangedMeanwhileError when somebody changed one of `values` since `version`.

    To be called inside the action's transaction, before it writes; of two at the same time the second one waits here.
    `values` are what is about to be written, by column or, for the rows of `edited_with`, by relation. No version
    doesn't ask. A change of what isn't written here, or to the same value, is nobody's loss.
    """
    if row is None or version is None:
        return
    model = type(row)
    model._base_manager.select_for_update().get(pk=row.pk)
    now = _version_now(row)
    if version != now and (lost := [each for each in _changes(row, version) if _overwrites(values, each)]):
        raise ChangedMeanwhileError(row, lost, now)


def _version_now(row: Model) -> str:
    loaded = with_version(type(row)._base_manager.filter(pk=row.pk)).values_list(LOADED, flat=True)
    return cast("str", loaded.get())


def _histories(model: type[Model]) -> list[tuple[Any, str]]:
    """Return the histories that make a version, each with the column that names the row."""
    pk = model._meta.pk
    assert pk is not None
    own = [(model.history, pk.attname)]  # type: ignore[attr-defined]
    relations = [model._meta.get_field(name) for name in _parts(model)]
    return own + [(each.related_model.history, each.field.attname) for each in relations]  # type: ignore[union-attr]


def _parts(model: type[Model]) -> tuple[str, ...]:
    return getattr(model, "edited_with", ())


def _counted(history: Any, column: str) -> Cast:
    rows = history.filter(**{column: OuterRef("pk")}).order_by().values(column)
    count = Subquery(rows.annotate(number=Count("history_id")).values("number"))
    return Cast(Coalesce(count, Value(0)), CharField())


def _changes(row: Model, version: str) -> list[FieldChange]:
    """Return what was changed since a version; one that never was is older than everything."""
    model = type(row)
    seen = [int(word) if word.isdecimal() else 0 for word in version.split("-")]
    seen += [0] * (1 + len(_parts(model)) - len(seen))
    found: list[FieldChange] = []
    for (history, column), name, known in zip(_histories(model), ("", *_parts(model)), seen, strict=False):
        rows = list(history.filter(**{column: row.pk}).select_related("history_user").order_by("history_id"))
        known = known if known <= len(rows) else 0
        if name and not model._meta.get_field(name).one_to_one:
            change = rows_changed(name, name, rows, known)
            found += [change] if change else []
            continue
        fields = changes_since(rows[max(known - 1, 0) :], known_before=known > 0)
        found += [each._replace(field=f"{name}.{each.field}" if name else each.field) for each in fields.values()]
    return found


def _overwrites(values: Mapping[str, Any], change: FieldChange) -> bool:
    """Return whether writing `values` would undo a change."""
    relation, _, column = change.field.rpartition(".")
    written = values.get(relation) if relation else values
    name = next((name for name in (column, column.removesuffix("_id")) if name in (written or {})), None)
    if written is None or name is None:
        return False
    value = written[name].pk if isinstance(written[name], Model) else written[name]
    return bool((value or None) != (change.value or None))
