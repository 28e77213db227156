"""Baselines, and the restores that lead back to one."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.fields import Flag, Reference, Text, Whole
from registry.api.filters import FlagFilter, OfSite
from registry.api.rows import Body, Row
from registry.api.views import Added, Resource
from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline, Restore, RestoreStep
from registry.baselines.queries import baselines_visible_to, restores_visible_to
from sites.models import User
from sites.queries import sites_visible_to


class BaselineRow(Row):
    """The agreed state of a site, frozen and numbered."""

    site = Reference(sites_visible_to, read_only=True)
    author = serializers.CharField(source="author.__str__", read_only=True)
    exceptions = serializers.ListField(child=serializers.CharField(), read_only=True)

    class Meta:
        """All but what is frozen in it."""

        model = Baseline
        fields: tuple[str, ...] = ("id", "site", "number", "reason", "author", "frozen_at", "exceptions")
        read_only_fields = fields


class BaselineContentRow(BaselineRow):
    """The same with what is frozen in it: `places`, `zones` and `lines` by name."""

    content = serializers.DictField(child=serializers.DictField(), read_only=True)

    class Meta(BaselineRow.Meta):
        """Everything."""

        fields = (*BaselineRow.Meta.fields, "content")
        read_only_fields = fields


class FreezeBody(Body):
    """What freezing a baseline needs to know."""

    site = Reference(sites_visible_to, source="site_id")
    reason = Text(max_length=400, help_text="The next tech will want to know.")
    with_exceptions = Flag(default=False, help_text="Freeze although something is missing; it is listed.")
    number = Whole(
        required=False,
        min_value=1,
        max_value=100_000,
        help_text="The number that you expect; refused if another is next.",
    )

    def values(self) -> dict[str, Any]:
        """Return it for the action."""
        return dict(self.validated_data)


class Baselines(Added):
    """Baselines: what was agreed. The content is in each one, not in the list."""

    serializer_class = BaselineRow
    detail_serializer_class = BaselineContentRow
    add_serializer_class = FreezeBody
    filterset_class = OfSite
    search_fields = ("reason",)
    orders = ("-frozen_at", "number", "id")

    def rows(self, user: User) -> QuerySet[Baseline]:
        """Return the baselines of the reader's sites."""
        found = baselines_visible_to(user)
        return found.defer("content") if self.action == "list" else found

    def add(self, by: User, values: dict[str, Any]) -> Baseline:
        """Freeze a site's present state as its next baseline."""
        return freeze_baseline(by=by, **values)


class RestoreStepRow(Row):
    """The answer to one step of the sheet."""

    class Meta:
        """What was answered."""

        model = RestoreStep
        fields = ("key", "found", "done", "could_not", "changed_at")
        read_only_fields = fields


class RestoreRow(Row):
    """One run through a restore sheet; signed, it is closed."""

    site = Reference(sites_visible_to, read_only=True)
    baseline = serializers.IntegerField(source="baseline_id", read_only=True, min_value=1)
    started_by = serializers.CharField(source="started_by.__str__", read_only=True)
    steps = RestoreStepRow(many=True, read_only=True)

    class Meta:
        """Everything."""

        model = Restore
        fields = ("id", "site", "baseline", "started_by", "started_at", "signed_at", "signature", "remarks", "steps")
        read_only_fields = fields


class RestoreFilter(OfSite):
    """Those that are open too."""

    open = FlagFilter("signed_at", lookup_expr="isnull", label="true: not signed yet.")


class Restores(Resource):
    """Restores: sites brought back to a baseline."""

    serializer_class = RestoreRow
    filterset_class = RestoreFilter
    orders = ("-started_at", "id")

    def rows(self, user: User) -> QuerySet[Restore]:
        """Return the restores of the reader's sites."""
        return restores_visible_to(user).prefetch_related("steps")
