"""Forms of the catalogue: a model, its ratings, and what the maker says of a loudspeaker."""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.forms import formset_factory

from registry.engineering.units import read_quantity
from registry.equipment.models import LoudspeakerSpec, MakeModel, Rating
from registry.web.fields import DayInput
from registry.web.forms import FormSet, SavedByAction


class CatalogueForm(SavedByAction[MakeModel]):
    """What a maker sells."""

    make = forms.CharField(max_length=80, help_text="The maker's name; a new one is added to the list of makes.")

    class Meta:
        """Everything."""

        model = MakeModel
        fields = (
            "name", "kind", "rack_units", "weight_kg", "idle_w", "max_w", "poe_w", "life_years", "support_until",
            "price", "currency",
        )  # fmt: skip
        widgets = {"support_until": DayInput}

    field_order = ("make",)

    def clean(self) -> dict[str, Any]:
        """A price needs its currency."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("price") is not None and not cleaned.get("currency"):
            self.add_error("currency", "say in which currency the price is, for example EUR")
        return cleaned


class RatingForm(SavedByAction[Rating]):
    """One rated load, or one line voltage, of an amplifier. An empty row is left out; emptying a row removes it."""

    # The table refuses an empty row; here it is one that is to go. `clean` says what a row must hold.
    action_checks = True

    class Meta:
        """All but the model."""

        model = Rating
        fields = ("load_ohm", "line_v", "power_w", "min_load_ohm", "channels")

    def clean(self) -> dict[str, Any]:
        """A row rates one load or one line voltage."""
        cleaned: dict[str, Any] = super().clean() or {}
        filled = [name for name, value in cleaned.items() if value is not None]
        if filled and (cleaned.get("load_ohm") is None) == (cleaned.get("line_v") is None):
            self.add_error("load_ohm", "give a load in ohm or a line voltage: one of the two in each row")
        return cleaned


class RatingRows(FormSet[RatingForm]):
    """All ratings of one model."""

    @staticmethod
    def as_sent(rows: Sequence[Mapping[str, Any]], *, prefix: str) -> dict[str, Any]:
        """Return what a browser would send for these rows."""
        counts = {f"{prefix}-TOTAL_FORMS": len(rows), f"{prefix}-INITIAL_FORMS": len(rows)}
        cells = {f"{prefix}-{at}-{name}": value for at, row in enumerate(rows) for name, value in row.items()}
        return {**counts, **cells}

    def ratings(self) -> list[dict[str, Any]]:
        """Return the rows that hold something."""
        rows = [row.cleaned_data for row in self.forms]
        return [row for row in rows if any(value is not None for value in row.values())]


RatingFormSet = cast("type[RatingRows]", formset_factory(RatingForm, formset=RatingRows, extra=3, max_num=30))


class TapsField(forms.Field):
    """Reads the taps of a transformer, separated by commas: 10, 5, 2.5."""

    def to_python(self, value: Any) -> list[float]:
        """Return the taps in watts, the largest first."""
        words = [word for word in str(value or "").split(",") if word.strip()]
        try:
            taps = [read_quantity(word.strip(), "W") for word in words]
        except ValueError as error:
            raise ValidationError(str(error)) from error
        if any(tap <= 0 for tap in taps):
            raise ValidationError("a tap is above 0 W")
        return sorted(set(taps), reverse=True)

    def prepare_value(self, value: Any) -> Any:
        """Show stored taps the way they are typed."""
        return ", ".join(f"{tap:g}" for tap in value) if isinstance(value, list) else value

    def validate(self, value: Any) -> None:
        """A transformer without taps on record is nothing to complain about."""


class LoudspeakerForm(SavedByAction[LoudspeakerSpec]):
    """What the maker says of a loudspeaker; all empty where nobody has looked it up."""

    taps_w = TapsField(label="Transformer taps (W)", required=False, help_text="Separated by commas: 10, 5, 2.5.")

    class Meta:
        """All but the model."""

        model = LoudspeakerSpec
        fields = (
            "impedance_ohm", "min_impedance_ohm", "power_w", "sensitivity_db", "coverage_deg", "coils", "taps_w",
            "insertion_loss_db",
        )  # fmt: skip
