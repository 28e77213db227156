"""Zones and the readings of their levels."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from registry.api.fields import Choice, Moment, Reference
from registry.api.filters import IdFilter, OfSite, TakenAt
from registry.api.recorded import RecordedRow, refuse_future
from registry.api.rows import Row, change_of
from registry.api.views import Added, Changed
from registry.audio.models import Drift, Zone
from registry.audio.queries import zones_visible_to
from registry.baselines.actions import CORRECTABLE, correct_reading, record_readings
from registry.baselines.models import Reading
from registry.baselines.queries import readings_visible_to
from registry.baselines.zones import add_zone, save_zone
from registry.equipment.models import State
from registry.visits.queries import visits_visible_to
from registry.visits.reading import record_visit_reading
from sites.models import User
from sites.put import Batch, Key
from sites.queries import sites_visible_to, spaces_visible_to
from sites.versions import version_of


class ZoneRow(Row):
    """Loudspeakers that are meant to play the same at the same level."""

    site = Reference(sites_visible_to)
    space = Reference(spaces_visible_to, required=False, allow_null=True)

    class Meta:
        """Everything."""

        model = Zone
        fields = (
            "id", "site", "name", "space", "source", "spot", "default_position", "tolerance_db", "drift", "drift_db"
        )  # fmt: skip
        read_only_fields = ("drift", "drift_db")


class ZoneFilter(OfSite):
    """By space and drift too."""

    space = IdFilter("space_id", label="Id of the space.")
    drift = django_filters.ChoiceFilter(choices=Drift.choices)


class Zones(Added, Changed):
    """Zones, with how each stands against its baseline."""

    serializer_class = ZoneRow
    change_serializer_class = change_of(ZoneRow, "site")
    filterset_class = ZoneFilter
    search_fields = ("name", "spot", "source")
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[Zone]:
        """Return the zones at the reader's sites."""
        return zones_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Zone:
        """Record a zone."""
        site = values.pop("site")
        return add_zone(by=by, site=site, values=values)

    def change(self, by: User, row: Zone, values: dict[str, Any]) -> Zone:
        """Change a zone; baselines stay as they were frozen."""
        return save_zone(by=by, zone=row, values=values, version=version_of(row))


class AtVisit(Reference):
    """The visit at which something was recorded."""

    def get_attribute(self, instance: Any) -> int | None:
        """Return its id."""
        kept = getattr(instance, "visitreading", None)
        return kept and kept.visit_id


class ReadingRow(RecordedRow):
    """An A-weighted level at a zone's spot. A fact: a slip is corrected by a newer reading."""

    zone = Reference(zones_visible_to)
    state = Choice(choices=State.choices)
    taken_at = Moment()
    visit = AtVisit(visits_visible_to, required=False, allow_null=True, help_text="One that is under way; null: none.")

    class Meta:
        """Everything."""

        model = Reading
        fields = (
            "id",
            "zone",
            "state",
            "taken_at",
            "visit",
            *CORRECTABLE,
            "recorded_by",
            "recorded_at",
            "replaces",
            "corrected_by",
        )
        read_only_fields = ("recorded_at",)


class ReadingCorrection(Row):
    """What the reading should have been; what isn't sent was right."""

    class Meta:
        """What can be a slip."""

        model = Reading
        fields = CORRECTABLE
        extra_kwargs = {"level_db": {"required": False}}


class ReadingFilter(TakenAt):
    """By zone, site and state too."""

    zone = IdFilter("zone_id", label="Id of the zone.")
    site = IdFilter("zone__site_id", label="Id of the site.")
    state = django_filters.ChoiceFilter(choices=State.choices)


class Readings(Added):
    """Readings: levels measured at spots."""

    serializer_class = ReadingRow
    filterset_class = ReadingFilter
    orders = ("-taken_at", "id")

    def rows(self, user: User) -> QuerySet[Reading]:
        """Return the readings at the reader's sites."""
        return readings_visible_to(user).select_related("recorded_by", "correction", "visitreading")

    def add(self, by: User, values: dict[str, Any]) -> Reading:
        """Record a reading, at a visit or without one; its zone's drift is judged anew."""
        zone, visit = values.pop("zone"), values.pop("visit", None)
        refuse_future("reading", values["taken_at"])
        if visit is not None:
            state, at = values.pop("state"), values.pop("taken_at")
            return record_visit_reading(by=by, visit=visit, zone=zone, state=state, values=values, at=at)
        key: Key = (zone.pk, values["state"], values["taken_at"])
        return record_readings(Batch(by=by), {key: {**values, "zone_id": zone.pk}})[key]

    @extend_schema(request=ReadingCorrection, responses={201: ReadingRow})
    @action(detail=True, methods=["post"])
    def correction(self, request: Request, pk: str) -> Response:
        """Record what a reading should have been; the wrong one stays readable and no longer counts."""
        reading = self.get_object()
        body = ReadingCorrection(data=request.data, context=self.get_serializer_context())
        body.is_valid(raise_exception=True)
        return self.created(
            request,
            lambda: correct_reading(by=request.user, reading=reading, values=body.values()),
        )
