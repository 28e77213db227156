"""Visits, findings and service calls: to be read."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.fields import Reference
from registry.api.filters import FlagFilter, IdFilter, MomentFilter, OfSite
from registry.api.rows import Row
from registry.api.views import Resource
from registry.visits.models import Finding, ServiceCall, Visit
from registry.visits.models.finding import Severity
from registry.visits.models.visit import VisitKind
from registry.visits.queries import calls_visible_to, findings_visible_to, visits_visible_to
from sites.models import User
from sites.queries import sites_visible_to


def id_of(name: str) -> Any:
    """Return a field that shows the id of a related row; null: none."""
    return serializers.IntegerField(source=f"{name}_id", read_only=True, allow_null=True, min_value=1)


class VisitRow(Row):
    """Work at a site at a time. Once closed it stays as it is."""

    site = Reference(sites_visible_to, read_only=True)
    plan = id_of("plan")
    tech = serializers.CharField(source="tech.__str__", read_only=True, default=None, help_text="null: nobody yet.")

    class Meta:
        """What it is for, when, and how it ended."""

        model = Visit
        fields = (
            "id", "site", "kind", "plan", "title", "starts_at", "planned_minutes", "tech", "begun_at", "result",
            "minutes", "outcome", "why_not", "signature", "accepted_by", "closed_at", "called_off_because",
        )  # fmt: skip
        read_only_fields = fields


class VisitFilter(OfSite):
    """By kind, time and whether they are closed too."""

    kind = django_filters.ChoiceFilter(choices=VisitKind.choices)
    starts_from = MomentFilter("starts_at", lookup_expr="gte", label="At this time or later.")
    starts_before = MomentFilter("starts_at", lookup_expr="lt", label="Before this time.")
    open = FlagFilter("closed_at", lookup_expr="isnull", label="true: not closed yet.")


class Visits(Resource):
    """Visits, planned and done."""

    serializer_class = VisitRow
    filterset_class = VisitFilter
    search_fields = ("title", "result")
    orders = ("-starts_at", "id")

    def rows(self, user: User) -> QuerySet[Visit]:
        """Return the visits to the reader's sites."""
        return visits_visible_to(user)


class FindingRow(Row):
    """Something wrong or worth doing, and what became of it."""

    site = Reference(sites_visible_to, read_only=True)
    visit, place, line, zone = id_of("visit"), id_of("place"), id_of("line"), id_of("zone")
    found_by = serializers.CharField(source="found_by.__str__", read_only=True)

    class Meta:
        """Everything that its reader may know."""

        model = Finding
        fields = (
            "id", "site", "visit", "place", "line", "zone", "severity", "says", "follow_up", "due_on", "internal",
            "found_by", "found_at", "closed_at", "done",
        )  # fmt: skip
        read_only_fields = fields


class FindingFilter(OfSite):
    """By severity, visit and whether they are closed too."""

    severity = django_filters.ChoiceFilter(choices=Severity.choices)
    visit = IdFilter("visit_id", label="Id of the visit.")
    open = FlagFilter("closed_at", lookup_expr="isnull", label="true: something is left to do.")


class Findings(Resource):
    """Findings. Who only reads finds none that are internal."""

    serializer_class = FindingRow
    filterset_class = FindingFilter
    search_fields = ("says", "done")
    orders = ("-found_at", "id")

    def rows(self, user: User) -> QuerySet[Finding]:
        """Return the findings at the reader's sites."""
        return findings_visible_to(user)


class CallRow(Row):
    """Somebody asked for help: what they said, and what it was."""

    site = Reference(sites_visible_to, read_only=True)
    visit = id_of("visit")
    taken_by = serializers.CharField(source="taken_by.__str__", read_only=True)

    class Meta:
        """Everything but what was only suspected."""

        model = ServiceCall
        fields = (
            "id", "site", "called_at", "caller", "phone", "says", "since", "changed", "taken_by", "visit",
            "answered_at", "restored_at", "mechanism", "cause", "caused_by", "was", "minutes",
            "record_would_have_saved", "closed_at",
        )  # fmt: skip
        read_only_fields = fields


class CallFilter(OfSite):
    """By whether they are closed too."""

    open = FlagFilter("closed_at", lookup_expr="isnull", label="true: not closed yet.")


class Calls(Resource):
    """Service calls."""

    serializer_class = CallRow
    filterset_class = CallFilter
    search_fields = ("says", "was", "caller")
    orders = ("-called_at", "id")

    def rows(self, user: User) -> QuerySet[ServiceCall]:
        """Return the calls of the reader's sites."""
        return calls_visible_to(user)
