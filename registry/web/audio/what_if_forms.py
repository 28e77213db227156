"""The form of "what if": one row per coil, rows for new loudspeakers, another amplifier; all of it in the address."""

from collections.abc import Iterable, Mapping
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError

from registry.audio.models import Coil
from registry.audio.what_if import Newcomer, Seat, seat_of
from registry.equipment.models import MakeModel
from registry.web.audio.forms import CoilForm
from sites.models import Site

SEAT = ("string", "order", "tap_w", "cable", "cable_m")
NEEDED = ("label", "model", "zone", "string", "order")
MOST_TAP_W = 5000.0
LEAST_TAP_W = 0.01
MOST_CABLE_M = 5000.0
MOST_ORDER = 999
# One letter each, so that the address of a long line stays short enough to share.
LETTERS = {
    "string": "s",
    "order": "o",
    "tap_w": "t",
    "cable": "c",
    "cable_m": "m",
    "out": "x",
    "label": "l",
    "model": "k",
    "zone": "z",
    "amplifier": "a",
}
Choices = list[tuple[str, str]]


class SeatForm(CoilForm):
    """Where a coil would hang. The page says what is wrong with all of them together."""

    action_checks = True

    class Meta(CoilForm.Meta):
        """What can be tried."""

        fields = SEAT
        help_texts: dict[str, str] = {}

    def __init__(self, *args: Any, site: Site, words: str, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        for name, field in self.fields.items():
            label = str(field.label or name.replace("_", " ").capitalize())
            field.widget.attrs |= {"aria-label": f"{label[0].upper()}{label[1:]} of {words}", "autocomplete": "off"}
            # The hints stand once above the table.
            field.help_text = ""

    def add_prefix(self, field_name: str) -> str:
        """Name a field by a letter and the coil's number."""
        return f"{LETTERS.get(field_name, field_name)}{self.prefix}"

    def clean_order(self) -> int | None:
        """Refuse what no string has."""
        order: int | None = self.cleaned_data["order"]
        if order is not None and order > MOST_ORDER:
            raise ValidationError(f"{order} is outside what can be tried here: 1 to {MOST_ORDER}")
        return order

    def clean_tap_w(self) -> float | None:
        """Refuse what no transformer has."""
        return _between(self.cleaned_data["tap_w"], LEAST_TAP_W, MOST_TAP_W, "W")

    def clean_cable_m(self) -> float | None:
        """Refuse what nobody pulls."""
        return _between(self.cleaned_data["cable_m"], 0.0, MOST_CABLE_M, "m")


def _between(value: float | None, low: float, high: float, unit: str) -> float | None:
    if value is not None and not low <= value <= high:
        raise ValidationError(f"{value:g} {unit} is outside what can be tried here: {low:g} to {high:g} {unit}")
    return value


class HangingForm(SeatForm):
    """A coil that is on the line now."""

    out = forms.BooleanField(label="Leave out", required=False)

    def seat(self, changed: Iterable[str]) -> Seat:
        """Return where it would hang; what was not typed over stays exactly as it is recorded."""
        now = seat_of(self.original)
        typed = {name: self.cleaned_data[name] for name in SEAT if self.add_prefix(name) in changed}
        return Seat(**({name: getattr(now, name) for name in SEAT} | typed))

    def __init__(self, *args: Any, instance: Coil, **kwargs: Any) -> None:
        super().__init__(*args, instance=instance, words=str(instance), **kwargs)
        self.original = instance


class JoiningForm(SeatForm):
    """A loudspeaker that isn't there yet; a row that nobody touched is none."""

    label = forms.CharField(max_length=60, required=False)
    model = forms.ChoiceField(required=False)
    zone = forms.ChoiceField(required=False)
    field_order = ("label", "model", "zone", *SEAT)

    def __init__(self, *args: Any, catalogue: "Catalogue", **kwargs: Any) -> None:
        super().__init__(
            *args, words="the new loudspeaker", empty_permitted=True, use_required_attribute=False, **kwargs
        )
        self.catalogue = catalogue
        cast("forms.ChoiceField", self.fields["model"]).choices = [("", "Choose"), *catalogue.loudspeaker_choices]
        cast("forms.ChoiceField", self.fields["zone"]).choices = [("", "Choose"), *catalogue.zone_choices]
        for name in NEEDED:
            self.fields[name].required = False

    def clean(self) -> dict[str, Any]:
        """Ask for what a loudspeaker needs; the page shows these fields for a row that may stay empty."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in NEEDED:
            if name in cleaned and cleaned[name] in (None, ""):
                self.add_error(name, "A new loudspeaker needs it; or clear the whole row.")
        return cleaned

    def newcomer(self) -> Newcomer:
        """Return what was typed."""
        typed = self.cleaned_data
        model, zone = self.catalogue.loudspeakers[typed["model"]], self.catalogue.zones[typed["zone"]]
        return Newcomer(typed["label"].strip(), model, zone, Seat(**{name: typed[name] for name in SEAT}))


class AmplifierForm(forms.Form):
    """Another amplifier, by its model."""

    amplifier = forms.ChoiceField(label="Amplifier", required=False)

    def __init__(self, *args: Any, catalogue: "Catalogue", now: MakeModel | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        there = f"As it is: {now}" if now else "As it is: nothing is recorded"
        others = [(key, words) for key, words in catalogue.amplifier_choices if not now or key != str(now.pk)]
        cast("forms.ChoiceField", self.fields["amplifier"]).choices = [("", there), *others]

    def add_prefix(self, field_name: str) -> str:
        """Name the field by its letter."""
        return LETTERS.get(field_name, field_name)


class Catalogue:
    """What can be chosen: loudspeaker and amplifier models, the site's zones; and the labels that are taken there."""

    def __init__(self, models: Iterable[MakeModel], amplifiers: Iterable[MakeModel], site: Site) -> None:
        self.loudspeakers = {str(model.pk): model for model in models}
        self.amplifiers = {str(model.pk): model for model in amplifiers}
        self.zones = {str(zone.pk): zone for zone in site.zones.all()}
        self.labels = set(site.loudspeakers.values_list("label", flat=True))

    @property
    def loudspeaker_choices(self) -> Choices:
        """Every loudspeaker model."""
        return [(key, str(model)) for key, model in self.loudspeakers.items()]

    @property
    def amplifier_choices(self) -> Choices:
        """Every amplifier model, with what one channel of it is rated for."""
        return [(key, f"{model}: {_rated(model)}") for key, model in self.amplifiers.items()]

    @property
    def zone_choices(self) -> Choices:
        """Every zone of the site."""
        return [(key, zone.name) for key, zone in self.zones.items()]


def _rated(model: MakeModel) -> str:
    ratings = [str(rating) for rating in model.ratings.all() if rating.power_w is not None]
    limits = [rating.min_load_ohm for rating in model.ratings.all() if rating.min_load_ohm is not None]
    lowest = [f"{max(limits):g} Ω or more"] if limits else []
    return ", ".join([*ratings, *lowest]) or "no rating recorded"


def shown(form: forms.BaseForm) -> dict[str, str]:
    """Return what an untouched form shows, by the names in the address."""
    return {bound.html_name: _text(bound.value()) for bound in form}


def _text(value: Any) -> str:
    if value is None or value is False:
        return ""
    return f"{value:.12g}" if isinstance(value, float) else str(value)


def typed_over(start: Mapping[str, str], asked: Mapping[str, str]) -> dict[str, str]:
    """Return what the address says otherwise than an untouched form."""
    given = {name: asked[name].strip()[:200] for name in start if name in asked}
    return {name: text for name, text in given.items() if text != start[name].strip()}
