"""Findings: recorded, changed, and closed with what was done; at a visit or without one."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from registry.api.acting import acting, done_once
from registry.api.conditional import etag_of
from registry.api.fields import Reference, Text
from registry.api.filters import FlagFilter, IdFilter, OfSite
from registry.api.rows import Body, Row, change_of
from registry.api.views import Added, Changed
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.equipment.queries import places_visible_to
from registry.visits.finding import ABOUT, add_finding, close_finding, edit_finding
from registry.visits.models import Finding
from registry.visits.models.finding import Severity
from registry.visits.queries import findings_visible_to, visits_visible_to
from sites.models import User
from sites.queries import sites_visible_to
from sites.versions import version_of


class FindingRow(Row):
    """Something wrong or worth doing, and what became of it."""

    site = Reference(sites_visible_to)
    visit = Reference(visits_visible_to, required=False, allow_null=True, help_text="One that is under way.")
    place = Reference(places_visible_to, required=False, allow_null=True)
    line = Reference(lines_visible_to, required=False, allow_null=True)
    zone = Reference(zones_visible_to, required=False, allow_null=True)
    found_by = serializers.CharField(source="found_by.__str__", read_only=True)

    class Meta:
        """Everything that its reader may know."""

        model = Finding
        fields = (
            "id", "site", "visit", "place", "line", "zone", "severity", "says", "follow_up", "due_on", "internal",
            "found_by", "found_at", "closed_at", "done",
        )  # fmt: skip
        read_only_fields = ("found_at", "closed_at", "done")

    def values(self) -> dict[str, Any]:
        """Return what the actions take: what it is about by id."""
        values = super().values()
        about = {f"{name}_id": values.pop(name) for name in ABOUT if name in values}
        return values | {name: row and row.pk for name, row in about.items()}


class ClosingBody(Body):
    """What was done about a finding."""

    done = Text(max_length=1000)
    visit = Reference(visits_visible_to, required=False, allow_null=True, help_text="Where it was done: under way.")


class FindingFilter(OfSite):
    """By severity, visit and whether they are closed too."""

    severity = django_filters.ChoiceFilter(choices=Severity.choices)
    visit = IdFilter("visit_id", label="Id of the visit.")
    open = FlagFilter("closed_at", lookup_expr="isnull", label="true: something is left to do.")


class Findings(Added, Changed):
    """Findings. Who only reads finds none that are internal."""

    serializer_class = FindingRow
    change_serializer_class = change_of(FindingRow, "site", "visit")
    filterset_class = FindingFilter
    search_fields = ("says", "done")
    orders = ("-found_at", "id")

    def rows(self, user: User) -> QuerySet[Finding]:
        """Return the findings at the reader's sites."""
        return findings_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Finding:
        """Record a finding, now."""
        site, visit = values.pop("site"), values.pop("visit", None)
        return add_finding(by=by, site=site, visit=visit, values=values)

    def change(self, by: User, row: Finding, values: dict[str, Any]) -> Finding:
        """Change a finding; what a signed report says of it stays."""
        return edit_finding(by=by, finding=row, values=values, version=version_of(row))

    @extend_schema(request=ClosingBody, responses=FindingRow)
    @action(detail=True, methods=["post"])
    def closing(self, request: Request, pk: str) -> Response:
        """Close a finding with what was done."""
        finding = self.get_object()
        body = ClosingBody(data=request.data, context=self.get_serializer_context())
        body.is_valid(raise_exception=True)

        def closed() -> Any:
            with acting():
                close_finding(by=request.user, finding=finding, **body.validated_data)
            return self.shown(self.get_queryset().get(pk=finding.pk))

        shown = done_once(request, closed)
        return Response(shown, headers={"ETag": etag_of(shown)})
