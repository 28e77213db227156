"""The list of calls: filters and columns. An owner's holds what was said and what it was, and nothing of ours."""

from datetime import timedelta
from typing import Any

import django_filters
from django.db.models import F, QuerySet
from django.urls import reverse
from django.utils.text import Truncator

from registry.visits.models import Cause, CausedBy, ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.fields import DayInput, RowFilter
from registry.web.lists import Column, ListFilter
from registry.web.sites.filters import clients_for, sites_for
from sites.models import User


class CallFilter(ListFilter):
    """By client, site, state, day, cause and who or what caused it."""

    client = RowFilter(field_name="site__client", queryset=clients_for, label="Client", empty_label="Any")
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    state = django_filters.ChoiceFilter(
        label="State",
        choices=[("open", "Open"), ("closed", "Closed"), ("phone", "Closed by phone"), ("visit", "With a visit")],
        method="by_state",
        empty_label="Any",
    )
    since = django_filters.DateFilter(label="From", method="by_first_day", widget=DayInput)
    until = django_filters.DateFilter(label="To", method="by_last_day", widget=DayInput)
    cause = django_filters.ChoiceFilter(choices=Cause.choices, label="Why", empty_label="Any")
    caused_by = django_filters.ChoiceFilter(choices=CausedBy.choices, label="Brought about by", empty_label="Any")

    class Meta:
        """No field of its own."""

        model = ServiceCall
        fields: tuple[str, ...] = ()

    def __init__(self, *args: Any, request: Any, **kwargs: Any) -> None:
        super().__init__(*args, request=request, **kwargs)
        if not request.user.may_write:
            for name in ("cause", "caused_by"):
                del self.filters[name]

    def by_state(self, rows: QuerySet[ServiceCall], name: str, value: str) -> QuerySet[ServiceCall]:
        """Match by how far a call is."""
        if value == "phone":
            return rows.filter(closed_at__isnull=False, visit__isnull=True)
        if value == "visit":
            return rows.filter(visit__isnull=False)
        return rows.filter(closed_at__isnull=value == "open")

    def by_first_day(self, rows: QuerySet[ServiceCall], name: str, value: Any) -> QuerySet[ServiceCall]:
        """Match calls of a day and later."""
        return rows.filter(called_at__date__gte=value)

    def by_last_day(self, rows: QuerySet[ServiceCall], name: str, value: Any) -> QuerySet[ServiceCall]:
        """Match calls of a day and before."""
        return rows.filter(called_at__date__lte=value)


def call_rows(user: Any) -> QuerySet[ServiceCall]:
    """Return the calls that somebody may read: open ones first, then the newest."""
    rows = calls_visible_to(user).prefetch_related("zones")
    return rows.order_by(F("closed_at").desc(nulls_first=True), "-called_at")


def _day(call: ServiceCall) -> Any:
    return call.called_at.astimezone(call.site.zone_info).date()


def _state(call: ServiceCall) -> str:
    if not call.is_open:
        return "closed" if call.visit_id else "closed by phone"
    return "open, visit planned" if call.visit_id else "open"


def _hours(call: ServiceCall) -> float | None:
    if call.restored_at is None:
        return None
    return round((call.restored_at - call.called_at) / timedelta(hours=1), 1)


def _page(call: ServiceCall) -> str:
    return reverse("call", args=[call.pk])


def _what(length: int | None) -> Column:
    return Column(
        heading="What was said",
        value=lambda call: Truncator(call.says).chars(length) if length else call.says,
        link=_page,
    )


SHARED = (
    Column(heading="Called", value=_day, sort=("called_at",), kind="day"),
    Column(heading="Site", value=lambda call: call.site.name, sort=("site__name",)),
    Column(heading="Zones", value=lambda call: ", ".join(zone.name for zone in call.zones.all()), blank="the site"),
    Column(heading="State", value=_state),
    Column(heading="What it was", value=lambda call: call.was, sort=("was",), blank="not known yet"),
)
OURS = (
    Column(heading="Why", value=lambda call: call.get_cause_display(), sort=("cause",), blank="–"),
    Column(heading="Minutes", value=lambda call: call.minutes, sort=("minutes",), kind="number", blank="–"),
)
ONLY_EXPORTED = (
    Column(heading="Client", value=lambda call: call.site.client.name),
    Column(heading="What changed", value=lambda call: call.changed),
    Column(heading="How it failed", value=lambda call: call.get_mechanism_display()),
    Column(heading="Brought about by", value=lambda call: call.get_caused_by_display()),
    Column(
        heading="The record would have saved the trip", value=lambda call: call.get_record_would_have_saved_display()
    ),
    Column(heading="Hours until it played again", value=_hours),
    Column(heading="Taken by", value=lambda call: str(call.taken_by)),
)


def columns_for(user: User, *, exported: bool) -> tuple[Column, ...]:
    """Return the columns that somebody may see; an export holds the whole words."""
    ours = OURS if user.may_write else ()
    more = ONLY_EXPORTED if user.may_write and exported else ()
    return (_what(None if exported else 120), *SHARED, *ours, *more)
