"""Forms of items, places and settings."""

import zoneinfo
from datetime import timedelta
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.forms import formset_factory
from django.utils import timezone

from registry.equipment.models import Item, Place, State
from registry.web.fields import DayInput, SiteTimeField
from registry.web.forms import FormSet, SavedByAction
from sites.addresses import mac_address
from sites.models import Site


class MacField(forms.CharField):
    """Reads a MAC address in any notation and gives it back as 02:00:5e:10:00:01."""

    def to_python(self, value: Any) -> str:
        """Strip the separators and write it the one way."""
        text = str(super().to_python(value) or "").strip()
        try:
            return mac_address(text) if text else ""
        except ValueError as error:
            raise ValidationError(f"a MAC address has {error}") from error


class ItemForm(SavedByAction[Item]):
    """One piece of equipment and the place it fills."""

    decided_together = {"place": ("place", "since")}
    shown_beside = {"placements": "place"}

    mac = MacField(label="MAC address", required=False, max_length=40, help_text="In any notation.")
    place: "forms.ModelChoiceField[Place]" = forms.ModelChoiceField(
        None,
        required=False,
        empty_label="In no place",
        help_text="Whoever fills that place now is closed there, not lost: its history keeps it.",
    )
    since = forms.DateField(
        label="In this place since",
        required=False,
        widget=DayInput,
        help_text="Leave empty if not known. When you take it out of its place: the day it left.",
    )

    class Meta:
        """All but the site."""

        model = Item
        fields = ("tag", "make_model", "serial", "mac", "warranty_until", "status")
        labels = {"make_model": "Model", "status": "State"}
        widgets = {"warranty_until": DayInput}

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        place, model = self.fields["place"], self.fields["make_model"]
        assert isinstance(place, forms.ModelChoiceField)
        assert isinstance(model, forms.ModelChoiceField)
        place.queryset = site.places.all()
        model.queryset = model.queryset.select_related("make") if model.queryset is not None else None


class PlaceForm(SavedByAction[Place]):
    """Where an item does its work."""

    action_checks = True

    class Meta:
        """All but the site."""

        model = Place
        fields = ("name", "rack", "position_u", "face", "ip", "hostname", "switch", "port")
        help_texts = {
            "name": "Baselines know a place by its name: change it only to mend a slip.",
            "position_u": "The lowest unit that its item takes, counted from 1 at the bottom.",
        }

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rack = self.fields["rack"]
        assert isinstance(rack, forms.ModelChoiceField)
        rack.queryset = site.racks.all()
        rack.empty_label = "In no rack"


class RecordForm(forms.Form):
    """When and in which state settings were read."""

    state = forms.ChoiceField(
        choices=State.choices, help_text="As found: before you changed anything. As left: after your work."
    )

    def __init__(self, *args: Any, zone: zoneinfo.ZoneInfo, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_at"] = SiteTimeField(zone=zone, label="Read at")

    def clean_taken_at(self) -> Any:
        """Refuse the future; clocks may differ by a few minutes."""
        taken_at = self.cleaned_data["taken_at"]
        if taken_at > timezone.now() + timedelta(minutes=5):
            raise ValidationError("this is in the future: settings are recorded when they were read")
        return taken_at


class SettingForm(forms.Form):
    """One setting. A row without a value was not read, and is left out."""

    key = forms.CharField(label="Setting", max_length=80, required=False)
    value = forms.CharField(max_length=400, required=False)
    unit = forms.CharField(max_length=20, required=False)

    def clean(self) -> dict[str, Any]:
        """Refuse a value without a name."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("value") and not cleaned.get("key"):
            self.add_error("key", "name the setting, or clear its value")
        return cleaned


class SettingRows(FormSet[SettingForm]):
    """All settings of one record."""

    def clean(self) -> None:
        """Refuse a record without a value, and the same setting twice."""
        keys = [row.cleaned_data["key"] for row in self.forms if row.is_valid() and row.cleaned_data.get("value")]
        if not keys and not any(row.errors for row in self.forms):
            raise ValidationError("type at least one value: a record without one says nothing")
        for key in {key for key in keys if keys.count(key) > 1}:
            raise ValidationError(f"{key!r} stands in two rows: each setting once")

    def settings(self) -> dict[str, tuple[str, str]]:
        """Return what was typed: key to value and unit."""
        rows = [row.cleaned_data for row in self.forms if row.cleaned_data.get("value")]
        return {row["key"]: (row["value"], row["unit"]) for row in rows}


SettingFormSet = cast("type[SettingRows]", formset_factory(SettingForm, formset=SettingRows, extra=4, max_num=200))
