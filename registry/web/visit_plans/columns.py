"""The list of visits: its columns, and the filters that the calendar above it obeys too."""

from datetime import datetime, timedelta
from typing import Any

import django_filters
from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from registry.visits.due import Standing
from registry.visits.models import Visit
from registry.visits.queries import techs_visible_to
from registry.web.fields import KeptRowsFilter, RowFilter
from registry.web.lists import Column, ListFilter
from registry.web.sites.filters import clients_for, sites_for
from registry.web.visit_plans.month import visit_state
from sites.models import User

STATES = (
    ("due", "Due within 7 days"),
    ("soon", "Soon: within 30 days"),
    ("overdue", "Overdue"),
    ("scheduled", "Scheduled"),
    ("begun", "Begun"),
    ("closed", "Closed"),
    ("called off", "Called off"),
)
WAITING = Q(begun_at__isnull=True, closed_at__isnull=True, called_off_because="")
DAYS_AHEAD = {"due": 7, "soon": 30}


def techs_to_choose(request: HttpRequest | None) -> QuerySet[User]:
    """Return the people that the filter offers."""
    assert request is not None
    return techs_visible_to(request.user)


class VisitFilter(ListFilter):
    """By client, site, who goes, and how it stands."""

    client = RowFilter(field_name="site__client", queryset=clients_for, label="Client", empty_label="Any")
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    tech = KeptRowsFilter(queryset=techs_to_choose, label="Who goes", empty_label="Anybody", null_label="Nobody yet")
    state = django_filters.ChoiceFilter(choices=STATES, method="by_state", label="State", empty_label="Any")

    class Meta:
        """Visits."""

        model = Visit
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[Visit], name: str, value: str) -> QuerySet[Visit]:
        """Keep the visits that stand so."""
        return rows.filter(state_is(value))


def state_is(value: str) -> Q:
    """Return the condition of a state; the day is the server's, which can differ from the site's by some hours."""
    now = timezone.now()
    midnight = datetime.combine(now.date(), datetime.min.time(), tzinfo=now.tzinfo)
    conditions = {
        "overdue": WAITING & Q(starts_at__lt=midnight),
        "scheduled": WAITING & Q(starts_at__gte=midnight),
        "begun": Q(begun_at__isnull=False, closed_at__isnull=True, called_off_because=""),
        "closed": Q(closed_at__isnull=False),
        "called off": ~Q(called_off_because=""),
    }
    if value in DAYS_AHEAD:
        until = midnight + timedelta(days=DAYS_AHEAD[value] + 1)
        return conditions["scheduled"] & Q(starts_at__lt=until)
    return conditions[value]


def fits(standing: Standing, chosen: dict[str, Any]) -> bool:
    """Return whether a date that nobody scheduled belongs to what the filter asks for."""
    if chosen.get("client") and standing.site.client_id != chosen["client"].pk:
        return False
    if chosen.get("site") and standing.site.pk != chosen["site"].pk:
        return False
    tech = chosen.get("tech")
    if tech and standing.plan.tech_id != (tech.pk if isinstance(tech, User) else None):
        return False
    return not chosen.get("state") or standing.state == chosen["state"]


def visit_page_of(visit: Visit) -> str:
    """Return the address of a visit."""
    return reverse("visit", args=[visit.pk])


def starts(visit: Visit) -> str:
    """Return when a visit starts, on the clock at the site."""
    there = visit.starts_at.astimezone(visit.site.zone_info)
    return f"{there.day} {there:%b %Y, %H:%M}"


VISIT_COLUMNS = (
    Column(heading="What for", value=lambda visit: visit.title, sort=("title",), link=visit_page_of),
    Column(heading="Site", value=lambda visit: visit.site, sort=("site__name",)),
    Column(heading="Client", value=lambda visit: visit.site.client, sort=("site__client__name",)),
    Column(heading="Starts", value=starts, sort=("starts_at",)),
    Column(heading="Who goes", value=lambda visit: visit.tech, sort=("tech__username",), blank="nobody yet"),
    Column(heading="State", value=lambda visit: visit_state(visit, timezone.localdate())),
)
