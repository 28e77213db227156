"""Visits: to be read."""

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.fields import Reference, RelatedId
from registry.api.filters import FlagFilter, MomentFilter, OfSite
from registry.api.rows import Row
from registry.api.views import Resource
from registry.visits.models import Visit
from registry.visits.models.visit import VisitKind
from registry.visits.queries import visits_visible_to
from sites.models import User
from sites.queries import sites_visible_to


class VisitRow(Row):
    """Work at a site at a time. Once closed it stays as it is."""

    site = Reference(sites_visible_to, read_only=True)
    plan = RelatedId(source="plan_id")
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
