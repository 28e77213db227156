"""Forms of what is new: a line, and a coil of a loudspeaker that is recorded already or that is new."""

from typing import Any

from django import forms

from registry.audio.models import Loudspeaker, Zone
from registry.equipment.models import MakeModel
from registry.web.audio.forms import LineForm, NewCoilForm, offer
from sites.models import Site, YesNoUnknown


class NewLineForm(LineForm):
    """A line on a free channel, and what is known of what it serves."""

    life_safety = forms.ChoiceField(
        label="Life-safety related",
        choices=YesNoUnknown.choices,
        initial=YesNoUnknown.UNKNOWN,
        help_text="Unknown counts as yes: nothing on the line is changed here then. Only a manager records yes or no.",
    )
    source = forms.CharField(
        label="Who or what says so",
        max_length=100,
        required=False,
        help_text="For yes or no: the responsible person, the fire-alarm company, or a drawing with its date.",
    )

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return what was typed, without what has an action of its own."""
        return super().values(without=(*without, "life_safety", "source"))


class LoudspeakerChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Loudspeakers with a free coil, each with what is connected of it already."""

    def label_from_instance(self, obj: Any) -> str:
        """Return label, zone, model and coils."""
        unit: Loudspeaker = obj
        taken = [coil.coil for coil in unit.coils.all()]
        connected = f", coil {' and '.join(taken)} connected" if taken else ""
        return f"{unit.label} in {unit.zone}, {unit.make_model or 'model not known'}{connected}"


class JoiningCoilForm(NewCoilForm):
    """One more coil for a line: of a recorded loudspeaker that has one free, or of a new loudspeaker."""

    loudspeaker = LoudspeakerChoice(
        None,
        required=False,
        help_text="Those with a coil that is free; or leave it and describe a new one.",
    )
    label = forms.CharField(
        label="New loudspeaker: label", max_length=60, required=False, help_text="As on its sticker, once in a site."
    )
    make_model: "forms.ModelChoiceField[MakeModel]" = forms.ModelChoiceField(
        None, label="New loudspeaker: make and model", required=False
    )
    zone: "forms.ModelChoiceField[Zone]" = forms.ModelChoiceField(None, label="New loudspeaker: zone", required=False)
    field_order = ("loudspeaker", "label", "make_model", "zone")

    def __init__(self, *args: Any, site: Site, free: Any, models: Any, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        offer(self, "loudspeaker", free, "A new one, as described below")
        offer(self, "make_model", models, "Not known")
        offer(self, "zone", site.zones.all(), "Choose")

    def clean(self) -> dict[str, Any]:
        """Ask for one of the two: a recorded loudspeaker, or the label and zone of a new one."""
        cleaned: dict[str, Any] = super().clean() or {}
        recorded, label = cleaned.get("loudspeaker"), cleaned.get("label")
        if recorded and label:
            self.add_error("label", "One of the two: clear this label, or choose “a new one” above.")
        elif not recorded and "loudspeaker" not in self.errors:
            self._ask_for_a_new_one(cleaned)
        return cleaned

    def _ask_for_a_new_one(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("label"):
            self.add_error("label", "Choose a recorded loudspeaker above, or give the new one a label.")
        elif not cleaned.get("zone") and "zone" not in self.errors:
            self.add_error("zone", "A loudspeaker belongs to a zone: choose it, or record the zone first.")

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return where the coil hangs, and whose it is when the loudspeaker is recorded already."""
        chosen: Loudspeaker | None = self.cleaned_data["loudspeaker"]
        names = ("coil", "string", "order", "tap_w", "cable", "cable_m", "plus", "minus")
        seat = {name: self.cleaned_data[name] for name in names if name not in without}
        return seat | ({"loudspeaker_id": chosen.pk} if chosen else {})

    def unit(self) -> dict[str, MakeModel | Zone | str | None] | None:
        """Return the new loudspeaker; None when a recorded one was chosen."""
        if self.cleaned_data["loudspeaker"]:
            return None
        return {name: self.cleaned_data[name] for name in ("label", "make_model", "zone")}
