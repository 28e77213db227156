"""What changed in a row, in words: field by field, who did it and when, read from its history."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from itertools import pairwise
from typing import Any, NamedTuple

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Field, Model
from django.utils import timezone

from sites.fields import Quantity

NOBODY = "somebody without an account"
NOTHING = "not known"


class FieldChange(NamedTuple):
    """One field of a row before and after: in words, and as the row held it (`was`, `value`)."""

    field: str
    label: str
    old: str
    new: str
    by: str
    at: datetime
    was: Any = None
    value: Any = None


def changes_since(rows: Sequence[Any], *, known_before: bool = True) -> dict[str, FieldChange]:
    """Return by column what differs between the first and the last of a row's history rows, the oldest first.

    `known_before` False says that all of them are news: what was there before the first is not known. Whoever changed
    a field last is named; what was changed and changed back is no change.
    """
    found: dict[str, FieldChange] = {}
    start: list[Any] = list(rows) if known_before else [None, *rows]
    for before, after in pairwise(start):
        for field in _differing(before, after):
            change = _change(before, after, field)
            first = found.get(field.attname, change)
            found[field.attname] = change._replace(old=first.old, was=first.was)
    return {name: change for name, change in found.items() if change.old != change.new}


def _change(before: Any, after: Any, field: "Field[Any, Any]") -> FieldChange:
    was, value = getattr(before, field.attname, None), getattr(after, field.attname)
    by, at = str(after.history_user or NOBODY), after.history_date
    label = str(field.verbose_name)
    return FieldChange(field.attname, label, said(before, field), said(after, field), by, at, was, value)


def _differing(before: Any, after: Any) -> "Iterator[Field[Any, Any]]":
    for field in after.tracked_fields:
        old, new = getattr(before, field.attname, None), getattr(after, field.attname)
        if not field.primary_key and (old or None) != (new or None):
            yield field


def said(row: Any, field: "Field[Any, Any]") -> str:
    """Return the value of a row's field as people read it."""
    value = getattr(row, field.attname, None) if row is not None else None
    if value is None or value in ("", []):
        return NOTHING
    if field.is_relation:
        return _related(row, field)
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(field, Quantity):
        return f"{value:g} {field.unit}".rstrip()
    return _plain(value)


def _related(row: Any, field: "Field[Any, Any]") -> str:
    try:
        return str(getattr(row, field.name))
    except ObjectDoesNotExist:
        return f"a {field.verbose_name} that is gone"


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return f"{timezone.localtime(value):%Y-%m-%d %H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        return ", ".join(_plain(each) for each in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def rows_changed(name: str, label: str, rows: Sequence[Any], known: int) -> FieldChange | None:
    """Return what differs in a set of rows since its first `known` history rows (the oldest first), as one change."""
    before, after = _standing(rows[:known]), _standing(rows)
    if before == after:
        return None
    old = ", ".join(text for key, text in before.items() if after.get(key) != text) or NOTHING
    new = ", ".join(text for key, text in after.items() if before.get(key) != text) or NOTHING
    by, at = str(rows[-1].history_user or NOBODY), rows[-1].history_date
    return FieldChange(name, label, old, new, by, at, tuple(before.values()), tuple(after.values()))


def _standing(rows: Sequence[Any]) -> dict[int, str]:
    newest: dict[int, Any] = {row.instance.pk: row for row in rows}
    return {pk: in_words(row.instance) for pk, row in newest.items() if row.history_type != "-"}


def in_words(row: Model) -> str:
    """Return a row as people read it; rows that say more in a set than alone have `in_set`."""
    return str(row.in_set()) if hasattr(row, "in_set") else str(row)
