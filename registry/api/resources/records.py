"""Configuration records: all settings that were read from a place at one time."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from registry.api.fields import Choice, Moment, Reference, Text
from registry.api.filters import IdFilter, TakenAt
from registry.api.recorded import RecordedRow, refuse_future
from registry.api.rows import Body, Strict
from registry.api.views import Added
from registry.equipment.actions import record_settings
from registry.equipment.correcting import correct_record
from registry.equipment.models import ConfigurationRecord, State
from registry.equipment.queries import items_in, places_visible_to, records_visible_to
from sites.models import User
from sites.put import Batch, Key, refuse


class SettingBody(Strict, serializers.Serializer[Any]):
    """One setting."""

    key = Text(max_length=80)
    value = Text(max_length=400)
    unit = Text(max_length=20, required=False, allow_blank=True, default="")


class SettingsBody(Body):
    """Settings, each once."""

    settings = SettingBody(many=True, min_length=1, max_length=200)

    def values(self) -> dict[str, tuple[str, str]]:
        """Return key to value and unit."""
        return settings_of(self.validated_data["settings"])


def settings_of(rows: list[dict[str, str]]) -> dict[str, tuple[str, str]]:
    """Return key to value and unit; a key that comes twice is refused."""
    settings = {row["key"]: (row["value"], row["unit"]) for row in rows}
    if len(settings) < len(rows):
        raise refuse("record", (), "settings", "a key stands twice: each setting once")
    return settings


class RecordRow(RecordedRow):
    """All settings that were read from one place at one time. A fact: a slip is corrected by a newer record."""

    place = Reference(places_visible_to)
    state = Choice(choices=State.choices)
    taken_at = Moment()
    item = serializers.IntegerField(source="item_id", read_only=True, allow_null=True, min_value=1)
    settings = SettingBody(many=True, min_length=1, max_length=200)

    class Meta:
        """Everything."""

        model = ConfigurationRecord
        fields = (
            "id", "place", "item", "state", "taken_at", "settings", "recorded_by", "recorded_at", "replaces",
            "corrected_by",
        )  # fmt: skip
        read_only_fields = ("recorded_at",)


class RecordFilter(TakenAt):
    """By place, site and state too."""

    place = IdFilter("place_id", label="Id of the place.")
    site = IdFilter("place__site_id", label="Id of the site.")
    state = django_filters.ChoiceFilter(choices=State.choices)


class Records(Added):
    """Configuration records."""

    serializer_class = RecordRow
    filterset_class = RecordFilter
    orders = ("-taken_at", "id")

    def rows(self, user: User) -> QuerySet[ConfigurationRecord]:
        """Return the records at the reader's sites."""
        found = records_visible_to(user).select_related("recorded_by", "correction")
        return found.prefetch_related("settings")

    def add(self, by: User, values: dict[str, Any]) -> ConfigurationRecord:
        """Record settings of the item that fills the place now."""
        place = values["place"]
        refuse_future("record", values["taken_at"])
        key: Key = (place.pk, values["state"], values["taken_at"])
        filling = items_in(place).filter(current=True).first()
        row = {"item_id": filling and filling.item_id, "settings": settings_of(values["settings"])}
        return record_settings(Batch(by=by), {key: row})[key]

    @extend_schema(request=SettingsBody, responses={201: RecordRow})
    @action(detail=True, methods=["post"])
    def correction(self, request: Request, pk: str) -> Response:
        """Record all settings as they should have been written down; the wrong record stays readable."""
        record = self.get_object()
        body = SettingsBody(data=request.data, context=self.get_serializer_context())
        body.is_valid(raise_exception=True)
        return self.created(
            request,
            lambda: correct_record(by=request.user, record=record, settings=body.values()),
        )
