"""The form of a reading, and what it is filled with beforehand."""

from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from registry.audio.models import Zone
from registry.baselines.actions import CORRECTABLE
from registry.baselines.models import Reading
from registry.web.fields import SiteTimeField
from registry.web.forms import SavedByAction

CLOCK_SKEW = timedelta(minutes=10)
NUMBERS = frozenset({"dial", "cap", "level_db", "background_db", "drive_v"})


class ReadingForm(SavedByAction[Reading]):
    """One level with what is needed to judge it."""

    class Meta:
        """All that can be corrected later."""

        model = Reading
        fields: tuple[str, ...] = CORRECTABLE
        labels = {"level_db": "Level", "background_db": "Background", "drive_v": "Drive"}
        help_texts = {
            "state": "As found is before any work, as left after it.",
            "dial": "Where the control stands that staff touch.",
            "cap": "The upper limit that scales the dial; 100 when there is none.",
            "level_db": "At the spot, with the reference track playing: slow, or an average of 15 to 30 s.",
            "background_db": "Same spot, same meter, music off.",
            "drive_v": "Volts at the channel's terminals while the level is read. Insulated probes, one hand.",
            "meter": "Which one, so that the next reading can be made with the same.",
            "track": "The file that plays, so that the next reading can be made with the same.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in NUMBERS & self.fields.keys():
            self.fields[name].widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    def clean(self) -> dict[str, Any]:
        """Refuse a correction that changes nothing."""
        cleaned: dict[str, Any] = super().clean() or {}
        if self.instance.pk and not self.has_changed():
            raise forms.ValidationError("Nothing differs from what is recorded: change what was wrong.")
        return cleaned


class NewReadingForm(ReadingForm):
    """A reading with its time, and whether it was taken before or after work."""

    class Meta(ReadingForm.Meta):
        """The state comes first."""

        fields = ("state", *CORRECTABLE)

    def __init__(self, *args: Any, zone: Zone, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entry = f"Level of {zone}"
        self.fields["taken_at"] = SiteTimeField(zone=zone.site.zone_info, label="Read at")
        self.order_fields(("state", "level_db", "background_db", "dial", "cap", "taken_at"))

    def clean_taken_at(self) -> datetime:
        """Refuse what hasn't happened yet."""
        taken_at: datetime = self.cleaned_data["taken_at"]
        if taken_at > timezone.now() + CLOCK_SKEW:
            raise forms.ValidationError("This time is still to come: a reading has happened.")
        return taken_at


def known_before(zone: Zone, reading: Reading | None) -> dict[str, Any]:
    """Return what a new reading of a zone most likely shares with the one before: spot, meter and track."""
    before = {name: getattr(reading, name, "") for name in ("spot", "meter", "meter_class", "track")}
    now = timezone.now().replace(second=0, microsecond=0)
    return before | {"spot": before["spot"] or zone.spot, "taken_at": now}
