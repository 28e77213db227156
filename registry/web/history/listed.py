"""Filter and columns of the history."""

from functools import cache
from typing import Any

import django_filters
from django.db.models import Model
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import capfirst

from registry.web.fields import DayInput, RowFilter
from registry.web.lists import Column, ListFilter
from registry.web.sites.filters import sites_for
from sites.changes import FieldChange
from sites.history_reading import logged_models, people_in_history
from sites.models import Deed, HistoryEntry, Role
from sites.origin import Way


def history_of(row: Model) -> str:
    """Return the address of the history of one thing."""
    return f"{reverse('history')}?{urlencode({'kind': row._meta.label_lower, 'object': row.pk})}"


# Where pages have another word for a thing than its table.
PLAIN = {"equipment.makemodel": "Model", "client_sites.integrationtoken": "Token of a program"}


@cache
def kinds() -> list[tuple[str, str]]:
    """Return the kinds of things, for a choice."""
    named = [(model._meta.label_lower, str(capfirst(model._meta.verbose_name))) for model in logged_models()]
    return [(label, PLAIN.get(label, words)) for label, words in named]


class HistoryFilter(ListFilter):
    """By time, site, person, kind and way; `object` is the number of one thing of the kind."""

    since = django_filters.DateFilter(field_name="at", lookup_expr="date__gte", label="From", widget=DayInput)
    until = django_filters.DateFilter(field_name="at", lookup_expr="date__lte", label="To", widget=DayInput)
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    person = django_filters.ModelChoiceFilter(
        field_name="by", queryset=lambda request: people_in_history(), label="Person", empty_label="Anybody"
    )
    kind = django_filters.ChoiceFilter(choices=kinds, label="Kind", empty_label="Any")
    object = django_filters.NumberFilter(
        field_name="object_id", label="Number of the thing", min_value=0, max_value=2**53
    )
    deed = django_filters.ChoiceFilter(choices=Deed.choices, label="What was done", empty_label="Anything")
    way = django_filters.ChoiceFilter(choices=Way.choices, label="From", empty_label="Anywhere")

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, request=request, **kwargs)
        # What one person did is for managers; techs see who did what with a thing.
        if getattr(request.user, "role", "") != Role.MANAGER:
            del self.filters["person"]


def _changed(entry: Any) -> str:
    """Return what changed, field by field; of a new row what it holds."""
    return "; ".join(_field(change, entry) for change in entry.changes)


def _field(change: FieldChange, entry: HistoryEntry) -> str:
    if entry.deed == Deed.RECORDED:
        return f"{change.label}: {change.new}"
    return f"{change.label}: {change.old} → {change.new}"


def _from(entry: HistoryEntry) -> str:
    name = f"“{entry.name.replace('-', ' ')}”" if entry.way == Way.PAGE and entry.name else entry.name
    where = " ".join(word for word in (entry.get_way_display(), name) if word)
    return f"{where}, from {entry.address}" if entry.address else where


def _when(entry: HistoryEntry) -> str:
    """Return the time on the site's wall, as everywhere; without a site the register's own."""
    there = entry.at.astimezone(entry.site.zone_info) if entry.site else timezone.localtime(entry.at)
    return f"{there.day} {there:%b %Y %H:%M:%S}{'' if entry.site else f' {there:%Z}'}"


def _kind(entry: HistoryEntry) -> str:
    return dict(kinds()).get(entry.kind, entry.kind)


WHEN = Column(heading="When", value=_when, sort=("at",))
WHEN_EXPORTED = Column(heading="When (UTC)", value=lambda entry: f"{entry.at:%Y-%m-%d %H:%M:%S}", sort=("at",))
COLUMNS = (
    Column(
        heading="Who",
        value=lambda entry: str(entry.by) if entry.by else "",
        blank="nobody signed in",
        sort=("by__last_name", "by__username"),
    ),
    Column(heading="Did", value=lambda entry: entry.get_deed_display().lower()),
    Column(
        heading="What",
        value=lambda entry: f"{_kind(entry)} {entry.what}",
        link=lambda entry: f"{reverse('history')}?{urlencode({'kind': entry.kind, 'object': entry.object_id})}",
    ),
    Column(heading="Changed", value=_changed, blank="nothing left to compare"),
    Column(heading="Site", value=lambda entry: str(entry.site or ""), blank="none", sort=("site__name",)),
    Column(heading="From", value=_from),
)
