"""Form fields that several subjects share."""

import zoneinfo
from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.functional import cached_property
from django_filters import ModelChoiceFilter
from django_filters.fields import ModelChoiceField, ModelChoiceIterator

BROWSER_FORMAT = "%Y-%m-%dT%H:%M"
# Some seconds of scrolling on a phone; beyond that typing is quicker, and the page is lighter.
MOST_IN_A_LIST = 200
MOST_NAMED = 5


class SiteTimeField(forms.DateTimeField):
    """A time typed as the clock on the site's wall shows it; an hour that summer time skips is refused."""

    def __init__(self, *, zone: zoneinfo.ZoneInfo, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.DateTimeInput({"type": "datetime-local"}, format=BROWSER_FORMAT))
        kwargs.setdefault("help_text", f"Clock time at the site ({zone.key}).")
        super().__init__(**kwargs)
        self.zone = zone

    def to_python(self, value: Any) -> datetime | None:
        """Read the typed time in the site's time zone."""
        with timezone.override(self.zone):
            return super().to_python(value)

    def prepare_value(self, value: Any) -> Any:
        """Show a time in the site's time zone."""
        with timezone.override(self.zone):
            return super().prepare_value(value)


class DayInput(forms.DateInput):
    """A date picked in the browser's own calendar."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


def are_too_many(rows: QuerySet[Any]) -> bool:
    """Return whether rows are more than a list of choices holds. One query."""
    return rows.order_by().values("pk")[MOST_IN_A_LIST : MOST_IN_A_LIST + 1].exists()


class KeptChoices(ModelChoiceIterator):  # type: ignore[misc]
    """The choices of a field that keeps its rows."""

    def __iter__(self) -> Iterator[tuple[Any, Any]]:
        if self.field.empty_label is not None:
            yield "", self.field.empty_label
        if self.field.null_label is not None:
            yield self.field.null_value, self.field.null_label
        yield from (self.choice(row) for row in self.field.rows)


class KeptRowsField(ModelChoiceField):  # type: ignore[misc]
    """A choice among few rows: they are read once, to offer them and to find the one that was chosen."""

    iterator = KeptChoices

    @cached_property
    def rows(self) -> list[Any]:
        """The rows."""
        return list(self.queryset)

    def to_python(self, value: Any) -> Any:
        """Return the row that was chosen."""
        if value in self.empty_values or (self.null_label is not None and value == self.null_value):
            return super().to_python(value)
        for row in self.rows:
            if str(self.prepare_value(row)) == str(value):
                return row
        raise forms.ValidationError(self.error_messages["invalid_choice"], "invalid_choice", {"value": value})


class RowField(KeptRowsField):
    """A choice among rows. Where they are too many for a list, one is typed: by the columns of `typed_as`."""

    def __init__(self, queryset: QuerySet[Any], *, typed_as: Sequence[str] = ("name",), **kwargs: Any) -> None:
        super().__init__(queryset, **kwargs)
        self.typed_as = typed_as
        self.is_typed = are_too_many(queryset)
        if self.is_typed:
            self.widget = forms.TextInput({"placeholder": f"a part of its {' or '.join(typed_as)}"})

    def to_python(self, value: Any) -> Any:
        """Return the row that is meant: by its number, as links have it, or by what was typed."""
        if not self.is_typed or value in self.empty_values:
            return super().to_python(value)
        if str(value).isdecimal() and (row := self.queryset.filter(pk=int(str(value)[:18])).first()):
            return row
        for lookup in ("iexact", "icontains"):
            wanted = reduce(or_, (Q((f"{column}__{lookup}", value)) for column in self.typed_as))
            found = list(self.queryset.filter(wanted)[:2])
            if len(found) == 1:
                return found[0]
            if found:
                raise forms.ValidationError(f"More than one fits “{value}”: type the whole {self.typed_as[0]}.")
        raise forms.ValidationError(f"None fits “{value}”.")

    def prepare_value(self, value: Any) -> Any:
        """Show the row of a link's number by what would be typed."""
        if self.is_typed and str(value or "").isdecimal():
            row = self.queryset.filter(pk=int(str(value)[:18])).first()
            return value if row is None else getattr(row, self.typed_as[0])
        return super().prepare_value(value)


class KeptRowsFilter(ModelChoiceFilter):  # type: ignore[misc]
    """Filters a list by one of few rows of another table."""

    field_class = KeptRowsField


class RowFilter(ModelChoiceFilter):  # type: ignore[misc]
    """Filters a list by one row of another table, whatever the number of those is."""

    field_class = RowField


class RowsField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """A choice of several rows that have a name: ticks; where they are too many for a list, a name on each line.

    A part of a name is completed and asked about once more, since nobody should be let in by a guess. A form says by
    `offer` which rows there are.
    """

    is_typed = False
    rows: QuerySet[Any]

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(None, widget=forms.CheckboxSelectMultiple, **kwargs)
        self.completed: dict[str, str] = {}

    def offer(self, rows: QuerySet[Any]) -> None:
        """Offer these rows. One query."""
        self.queryset, self.rows, self.is_typed, self.completed = rows, rows, are_too_many(rows), {}
        if self.is_typed:
            self.widget = forms.Textarea({"rows": 3, "spellcheck": "false"})
            self.help_text = f"{self.help_text} A name on each line; a part of it is completed.".strip()

    def clean(self, value: Any) -> QuerySet[Any]:
        """Return the chosen rows. Two queries for each name, or three."""
        if not self.is_typed:
            return super().clean(value)
        names = list(dict.fromkeys(name for line in str(value or "").splitlines() if (name := line.strip())))
        if len(names) > MOST_IN_A_LIST:
            raise forms.ValidationError(f"These are {len(names)} names; {MOST_IN_A_LIST} is the most.")
        found, faults = [], []
        for name in names:
            try:
                found.append(self._named(name))
            except forms.ValidationError as fault:
                faults.append(fault)
        if self.required and not names:
            raise forms.ValidationError(self.error_messages["required"], code="required")
        if faults:
            raise forms.ValidationError(faults)
        return self.rows.filter(pk__in=found)

    def _named(self, name: str) -> int:
        for lookup in ("exact", "iexact"):
            found = list(self.rows.filter(**{f"name__{lookup}": name}).values_list("pk", flat=True)[:2])
            if len(found) == 1:
                return int(found[0])
        like = list(self.rows.filter(name__icontains=name).values_list("name", flat=True)[: MOST_NAMED + 1])
        if len(like) == 1:
            self.completed[name] = like[0]
            raise forms.ValidationError(f"“{name}” was completed to “{like[0]}”: save again if that is meant.")
        if not like:
            raise forms.ValidationError(f"“{name}” isn't the name of any.")
        told = f"{', '.join(like[:MOST_NAMED])}{' or another' if len(like) > MOST_NAMED else ''}"
        raise forms.ValidationError(f"“{name}” may be {told}: type the whole name.")

    def bound_data(self, data: Any, initial: Any) -> Any:
        """Show what was typed, with the names that were completed."""
        if not self.is_typed:
            return super().bound_data(data, initial)
        return "\n".join(self.completed.get(line.strip(), line) for line in str(data or "").splitlines())

    def prepare_value(self, value: Any) -> Any:
        """Show chosen rows by their names where names are typed."""
        if self.is_typed and isinstance(value, list):
            return "\n".join(self.rows.filter(pk__in=value).values_list("name", flat=True))
        return super().prepare_value(value)
