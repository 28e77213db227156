"""Service calls: to be read."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.fields import Reference, RelatedId
from registry.api.filters import FlagFilter, OfSite
from registry.api.rows import Row
from registry.api.views import Resource
from registry.visits.models import CallNote, ServiceCall
from registry.visits.queries import calls_visible_to
from sites.models import User
from sites.queries import sites_visible_to

OURS = ("caller", "phone", "since", "changed", "mechanism", "cause", "caused_by", "record_would_have_saved")


class CallRow(Row):
    """Somebody asked for help: what they said, and what it was. Who only reads gets it as an owner does.

    What is ours is then empty: who called and from where, since when, how and why it failed; and there are no notes.
    """

    site = Reference(sites_visible_to, read_only=True)
    visit = RelatedId(source="visit_id")
    taken_by = serializers.CharField(source="taken_by.__str__", read_only=True)

    class Meta:
        """Everything but what was only suspected."""

        model = ServiceCall
        fields: tuple[str, ...] = (
            "id", "site", "called_at", "caller", "phone", "says", "since", "changed", "taken_by", "visit",
            "answered_at", "restored_at", "mechanism", "cause", "caused_by", "was", "minutes",
            "record_would_have_saved", "closed_at",
        )  # fmt: skip
        read_only_fields = fields

    def to_representation(self, instance: ServiceCall) -> dict[str, Any]:
        """Leave out what is ours for who only reads."""
        shown: dict[str, Any] = super().to_representation(instance)
        if self.context["request"].user.may_write:
            return shown
        hidden: dict[str, Any] = {**dict.fromkeys(OURS, ""), "minutes": None, "notes": []}
        return {name: hidden.get(name, value) for name, value in shown.items()}


class CallNoteRow(Row):
    """What was said or became known about a call, while it was open or later."""

    written_by = serializers.CharField(source="written_by.__str__", read_only=True)

    class Meta:
        """Everything."""

        model = CallNote
        fields = ("id", "says", "written_by", "written_at")
        read_only_fields = fields


class CallDetail(CallRow):
    """A call with its notes."""

    notes = CallNoteRow(many=True, read_only=True)

    class Meta(CallRow.Meta):
        """The notes too."""

        fields = (*CallRow.Meta.fields, "notes")
        read_only_fields = fields


class CallFilter(OfSite):
    """By whether they are closed too."""

    open = FlagFilter("closed_at", lookup_expr="isnull", label="true: not closed yet.")


class Calls(Resource):
    """Service calls. One that is read by its id comes with its notes."""

    serializer_class = CallRow
    detail_serializer_class = CallDetail
    filterset_class = CallFilter
    # Nothing that is ours: a reader would find by it what isn't shown.
    search_fields = ("says", "was")
    orders = ("-called_at", "id")

    def rows(self, user: User) -> QuerySet[ServiceCall]:
        """Return the calls of the reader's sites."""
        found = calls_visible_to(user)
        return found if self.action == "list" else found.prefetch_related("notes__written_by")
