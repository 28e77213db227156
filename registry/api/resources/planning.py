"""Fold plans, commissionings, and what was measured at lines: to be read."""

from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.fields import Reference
from registry.api.filters import FlagFilter, IdFilter, OfSite, TakenAt
from registry.api.recorded import RecordedRow
from registry.api.rows import Row
from registry.api.views import Resource
from registry.planning.commissioning_queries import commissionings_visible_to, measurements_visible_to
from registry.planning.models import Commissioning, CommissioningStep, FoldPlan, LineMeasurement, PlanDecision
from registry.planning.queries import fold_plans_visible_to
from sites.models import User
from sites.queries import sites_visible_to


class PlanDecisionRow(Row):
    """Somebody accepted a plan, rejected it, or put it into the register."""

    decided_by = serializers.CharField(source="decided_by.__str__", read_only=True)

    class Meta:
        """All but the design."""

        model = PlanDecision
        fields = ("decided", "decided_at", "decided_by", "reason")
        read_only_fields = fields


class FoldPlanRow(Row):
    """One way of putting zones on few amplifiers, with what was decided about it."""

    site = Reference(sites_visible_to, read_only=True)
    author = serializers.CharField(source="author.__str__", read_only=True)
    decisions = PlanDecisionRow(many=True, read_only=True)

    class Meta:
        """All but what it was computed from."""

        model = FoldPlan
        fields: tuple[str, ...] = ("id", "site", "number", "title", "author", "saved_at", "decisions")
        read_only_fields = fields


class FoldPlanContentRow(FoldPlanRow):
    """The same with what it was computed from, and the plan itself."""

    content = serializers.DictField(read_only=True)

    class Meta(FoldPlanRow.Meta):
        """Everything."""

        fields = (*FoldPlanRow.Meta.fields, "content")
        read_only_fields = fields


class FoldPlans(Resource):
    """Fold plans that somebody kept. The content is in each one, not in the list."""

    serializer_class = FoldPlanRow
    detail_serializer_class = FoldPlanContentRow
    filterset_class = OfSite
    search_fields = ("title",)
    orders = ("-saved_at", "id")

    def rows(self, user: User) -> QuerySet[FoldPlan]:
        """Return the plans of the reader's sites."""
        found = fold_plans_visible_to(user)
        return found.defer("content") if self.action == "list" else found


class CommissioningStepRow(Row):
    """The answer to one step, and the fact that it left behind."""

    class Meta:
        """What was answered."""

        model = CommissioningStep
        fields = ("key", "done", "could_not", "measurement", "reading", "record", "changed_at")
        read_only_fields = fields


class CommissioningRow(Row):
    """One run through a site's lines, zones and amplifiers, until it is frozen and handed over."""

    site = Reference(sites_visible_to, read_only=True)
    baseline = serializers.IntegerField(source="baseline_id", read_only=True, allow_null=True, min_value=1)
    started_by = serializers.CharField(source="started_by.__str__", read_only=True)
    exceptions = serializers.ListField(child=serializers.CharField(), read_only=True)
    steps = CommissioningStepRow(many=True, read_only=True)

    class Meta:
        """Everything."""

        model = Commissioning
        fields = (
            "id", "site", "started_by", "started_at", "track_name", "track_sha256", "track_level_dbfs", "baseline",
            "signature", "exceptions", "handed_to", "training", "stopped_because", "closed_at", "steps",
        )  # fmt: skip
        read_only_fields = fields


class CommissioningFilter(OfSite):
    """Those that are open too."""

    open = FlagFilter("closed_at", lookup_expr="isnull", label="true: neither handed over nor stopped.")


class Commissionings(Resource):
    """Commissionings."""

    serializer_class = CommissioningRow
    filterset_class = CommissioningFilter
    orders = ("-started_at", "id")

    def rows(self, user: User) -> QuerySet[Commissioning]:
        """Return the runs at the reader's sites."""
        return commissionings_visible_to(user).prefetch_related("steps")


class MeasurementRow(RecordedRow):
    """What was measured at a line's terminals, or its polarity, with what was computed and said then."""

    line = serializers.IntegerField(source="line_id", read_only=True, min_value=1)

    class Meta:
        """Everything."""

        model = LineMeasurement
        fields = (
            "id", "line", "taken_at", "impedance_ohm", "is_open", "frequency_hz", "computed_ohm", "verdict", "says",
            "polarity", "polarity_note", "recorded_by", "recorded_at", "replaces", "corrected_by",
        )  # fmt: skip
        read_only_fields = fields


class MeasurementFilter(TakenAt):
    """By line and site too."""

    line = IdFilter("line_id", label="Id of the line.")
    site = IdFilter("line__site_id", label="Id of the site.")


class Measurements(Resource):
    """Measurements at lines: impedance and polarity."""

    serializer_class = MeasurementRow
    filterset_class = MeasurementFilter
    orders = ("-taken_at", "id")

    def rows(self, user: User) -> QuerySet[LineMeasurement]:
        """Return what was measured at the reader's sites."""
        return measurements_visible_to(user)
