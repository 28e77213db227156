"""Form fields that several subjects share."""

import zoneinfo
from datetime import datetime
from typing import Any

from django import forms
from django.utils import timezone

BROWSER_FORMAT = "%Y-%m-%dT%H:%M"


class SiteTimeField(forms.DateTimeField):
    """A time typed as the clock on the site's wall shows it; an hour that summer time skips is refused."""

    def __init__(self, *, zone: zoneinfo.ZoneInfo, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.DateTimeInput({"type": "datetime-local"}, format=BROWSER_FORMAT))
        kwargs.setdefault("help_text", f"Clock time at the site ({zone.key}).")
        super().__init__(**kwargs)
        self.zone = zone

    def to_python(self, value: Any) -> datetime | None:
        """Read the typed time in the site's time zone."""
        with timezone.override(self.zone):
            return super().to_python(value)

    def prepare_value(self, value: Any) -> Any:
        """Show a time in the site's time zone."""
        with timezone.override(self.zone):
            return super().prepare_value(value)


class DayInput(forms.DateInput):
    """A date picked in the browser's own calendar."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")
