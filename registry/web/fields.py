"""Form fields that several subjects share."""

import zoneinfo
from collections.abc import Sequence
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.utils import timezone
from django_filters import ModelChoiceFilter
from django_filters.fields import ModelChoiceField

BROWSER_FORMAT = "%Y-%m-%dT%H:%M"
# Some seconds of scrolling on a phone; beyond that typing is quicker, and the page is lighter.
MOST_IN_A_LIST = 200


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


class RowField(ModelChoiceField):  # type: ignore[misc]
    """A choice among rows. Where they are too many for a list, one is typed: by the columns of `typed_as`."""

    def __init__(self, queryset: QuerySet[Any], *, typed_as: Sequence[str] = ("name",), **kwargs: Any) -> None:
        super().__init__(queryset, **kwargs)
        self.typed_as = typed_as
        self.is_typed = len(queryset.order_by().values_list("pk", flat=True)[: MOST_IN_A_LIST + 1]) > MOST_IN_A_LIST
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


class RowFilter(ModelChoiceFilter):  # type: ignore[misc]
    """Filters a list by one row of another table, whatever the number of those is."""

    field_class = RowField
