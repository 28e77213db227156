"""Forms of lines, coils and zones. Those of readings are in reading_forms.py."""

from typing import Any

from django import forms

from registry.audio.models import Coil, Line, Zone
from registry.engineering.units import read_cable_size
from registry.web.forms import SavedByAction
from registry.web.versions import Versioned
from sites.models import Site, YesNoUnknown


def offer(form: forms.BaseForm, name: str, choices: Any, empty: str | None) -> None:
    """Let a field of a form choose among these rows."""
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset, field.empty_label = choices, empty


class LineForm(SavedByAction[Line]):
    """Which channel a line hangs on, and of which kind it is."""

    class Meta:
        """All but the site and life safety, which has a form of its own."""

        model = Line
        fields = ("name", "amplifier", "channel", "kind")

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "amplifier", site.places.all(), "Choose")

    def _get_validation_exclusions(self) -> set[str]:
        """Leave the channel to the action, which says beside the field who has it."""
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded | {"amplifier"}

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return what was typed, the amplifier by its id."""
        return super().values(without=(*without, "amplifier")) | {"amplifier_id": self.cleaned_data["amplifier"].pk}


class LifeSafetyForm(Versioned, forms.Form):
    """Whether a line serves fire alarm, voice alarm or emergency paging, and who says so."""

    life_safety = forms.ChoiceField(
        label="Life-safety related",
        choices=YesNoUnknown.choices,
        help_text="Unknown counts as yes. Only “no” lets this register offer changes on the line.",
    )
    source = forms.CharField(
        label="Who or what says so",
        max_length=100,
        help_text="The responsible person, the fire-alarm company, or a drawing with its date. Kept in the history.",
    )

    def __init__(self, data: Any, *, line: Line) -> None:
        super().__init__(data, initial={"life_safety": line.life_safety})
        self.carry_version(line)


class CoilForm(SavedByAction[Coil]):
    """Where a coil hangs, on which tap, and the piece of cable that feeds it."""

    class Meta:
        """All but whose coil it is."""

        model = Coil
        fields: tuple[str, ...] = ("line", "string", "order", "tap_w", "cable", "cable_m", "plus", "minus")
        labels = {"cable": "Cable size", "plus": "Colour of plus", "minus": "Colour of minus"}
        help_texts = {
            "string": "Coils of one string are in series; on a constant-voltage line a string is one daisy chain.",
            "order": "Counted from the amplifier, from 1.",
            "cable": "Two conductors, for example 18 AWG or 1.5 mm2.",
            "cable_m": "From the loudspeaker before it, or from the amplifier; one way. 60 ft or 18 m.",
            "plus": "As a word; recorded for each line, because no standard holds everywhere.",
        }

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "line" in self.fields:
            offer(self, "line", site.lines.filter(life_safety=YesNoUnknown.NO), None)

    def _get_validation_exclusions(self) -> set[str]:
        """Leave it to the action to say beside the field where the coil hangs already."""
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded | {"loudspeaker"}

    def clean_cable(self) -> str:
        """Write the size as the register spells it."""
        text = self.cleaned_data["cable"]
        try:
            return read_cable_size(text) if text else ""
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return what was typed, references by their ids."""
        chosen = {name: self.cleaned_data[name] for name in ("line", "loudspeaker") if name in self.fields}
        plain = super().values(without=(*without, *chosen))
        return plain | {f"{name}_id": row.pk for name, row in chosen.items()}


class NewCoilForm(CoilForm):
    """One more coil for a line."""

    class Meta(CoilForm.Meta):
        """The line is given, the loudspeaker is chosen."""

        fields = ("loudspeaker", "coil", "string", "order", "tap_w", "cable", "cable_m", "plus", "minus")

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        offer(self, "loudspeaker", site.loudspeakers.all(), "Choose")


class ZoneForm(SavedByAction[Zone]):
    """What belongs together, where it is read, and what it is held to."""

    class Meta:
        """Everything but the site."""

        model = Zone
        fields = ("name", "space", "source", "spot", "default_position", "tolerance_db")
        help_texts = {
            "name": "Baselines know a zone by its name: after a new name, freeze the next baseline.",
            "spot": "The marked place where the level is read, for example: P1, left of the column, 1.5 m high.",
            "default_position": "Where the dial belongs. The middle is easy to remember (common practice).",
            "tolerance_db": "How far the level may be from the baseline either way. 2 dB is common practice.",
        }

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "space", site.spaces.all(), "Not known")
