"""The list of findings: filters and columns."""

from typing import Any

import django_filters
from django.db.models import Case, F, IntegerField, QuerySet, Value, When
from django.urls import reverse
from django.utils.text import Truncator

from registry.visits.models import Finding, FollowUp, Severity
from registry.visits.queries import findings_visible_to
from registry.web.fields import RowFilter
from registry.web.lists import Column, ListFilter
from registry.web.sites.filters import clients_for, sites_for

GRAVEST_FIRST = Case(
    *(When(severity=value, then=Value(place)) for place, value in enumerate(Severity.values)),
    output_field=IntegerField(),
)
SOONEST_FIRST = Case(
    *(When(follow_up=value, then=Value(place)) for place, value in enumerate(FollowUp.values)),
    output_field=IntegerField(),
)


class FindingFilter(ListFilter):
    """By client, site, severity, follow-up, and whether something is left to do."""

    client = RowFilter(field_name="site__client", queryset=clients_for, label="Client", empty_label="Any")
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    severity = django_filters.ChoiceFilter(choices=Severity.choices, empty_label="Any")
    follow_up = django_filters.ChoiceFilter(choices=FollowUp.choices, label="Follow-up", empty_label="Any")
    state = django_filters.ChoiceFilter(
        label="Open or closed", choices=[("open", "Open"), ("closed", "Closed")], method="by_state", empty_label="Any"
    )

    class Meta:
        """No field of its own."""

        model = Finding
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[Finding], name: str, value: str) -> QuerySet[Finding]:
        """Match what is left to do, or what is done."""
        return rows.filter(closed_at__isnull=value == "open")


def finding_rows(user: Any) -> QuerySet[Finding]:
    """Return the findings that somebody may read: open ones first, the gravest and the newest on top."""
    found = findings_visible_to(user).annotate(gravity=GRAVEST_FIRST, urgency=SOONEST_FIRST)
    return found.order_by(F("closed_at").desc(nulls_first=True), "gravity", "-found_at")


def _day(finding: Finding, name: str) -> Any:
    value = getattr(finding, name)
    return value.astimezone(finding.site.zone_info).date() if value else None


COLUMNS = (
    Column(
        heading="Finding", value=lambda f: Truncator(f.says).chars(120), link=lambda f: reverse("finding", args=[f.pk])
    ),
    Column(heading="Severity", value=lambda f: f.get_severity_display(), sort=("gravity",)),
    Column(heading="Site", value=lambda f: f.site.name, sort=("site__name",)),
    Column(heading="About", value=lambda f: str(f.about or ""), blank="the site"),
    Column(heading="Follow-up", value=lambda f: f.get_follow_up_display(), sort=("urgency",)),
    Column(heading="By", value=lambda f: f.due_on, sort=("due_on",), kind="day", blank="no date"),
    Column(heading="Found", value=lambda f: _day(f, "found_at"), sort=("found_at",), kind="day"),
    Column(heading="Closed", value=lambda f: _day(f, "closed_at"), sort=("closed_at",), kind="day", blank="open"),
)
EXPORTED = (
    Column(heading="Finding", value=lambda f: f.says),
    *COLUMNS[1:],
    Column(heading="Client", value=lambda f: f.site.client.name),
    Column(heading="What was done", value=lambda f: f.done),
)
