"""What facts have in common: who recorded them and when, and which one replaces which."""

from datetime import datetime, timedelta
from typing import Any, Final

from django.utils import timezone
from rest_framework import serializers

from registry.api.rows import Row
from sites.put import Key, refuse

CLOCKS_DIFFER: Final = timedelta(minutes=5)


class RecordedRow(Row):
    """A fact."""

    recorded_by = serializers.CharField(
        source="recorded_by.__str__", read_only=True, default=None, help_text="The person or program; null: a survey."
    )
    replaces = serializers.IntegerField(source="replaces_id", read_only=True, allow_null=True, min_value=1)
    corrected_by = serializers.SerializerMethodField()

    def get_corrected_by(self, row: Any) -> int | None:
        """The id of the one that takes its place; null: this one counts."""
        newer = row.corrected_by()
        return newer.pk if newer else None


def refuse_future(what: str, taken_at: datetime) -> None:
    """Refuse a time that is still to come; clocks may differ by a few minutes."""
    if taken_at > timezone.now() + CLOCKS_DIFFER:
        key: Key = (taken_at,)
        raise refuse(what, key, "taken_at", "this time is still to come: what is recorded has happened")
