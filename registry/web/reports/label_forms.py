"""Choosing labels: what to label, and the paper with its measures."""

from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.db.models import QuerySet
from django.http import QueryDict

from registry.reports.label_sheet import LabelLayout, a4_sheet, tape
from registry.reports.labels import LabelKind
from sites.models import Rack

TAPE, A4 = "tape", "a4"
PAPERS: Final = ((TAPE, "Tape of a label printer"), (A4, "A4 sheet of labels"))
KINDS: Final = (
    (LabelKind.RACKS.value, "Racks, with QR code"),
    (LabelKind.PLACES.value, "Places, with QR code"),
    (LabelKind.CABLES.value, "Cables, one label for each end"),
    (LabelKind.LOUDSPEAKERS.value, "Loudspeakers"),
)
# A 12 mm tape; 24 labels of 63.5 × 33.9 mm on a sheet (a size in common use: common practice).
DEFAULTS: Final[Mapping[str, str]] = {
    "paper": TAPE,
    "tape_mm": "12",
    "length_mm": "70",
    "columns": "3",
    "rows": "8",
    "width_mm": "63.5",
    "height_mm": "33.9",
    "gap_x_mm": "2.5",
    "gap_y_mm": "0",
    "skip": "0",
}


def asked_for(query: QueryDict) -> QueryDict:
    """Return what was asked for; the defaults when nobody has chosen a paper yet."""
    if "paper" in query:
        return query
    asked = query.copy()
    asked.update(DEFAULTS)
    if "kinds" not in asked:
        asked.setlist("kinds", [LabelKind.RACKS.value, LabelKind.PLACES.value])
    return asked


class Millimetres(forms.FloatField):
    """A length in millimetres between two bounds."""

    def __init__(self, label: str, low: float, high: float, *, help_text: str = "") -> None:
        widget = forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.1"})
        said = help_text or f"{low:g} to {high:g} mm"
        super().__init__(label=f"{label} (mm)", min_value=low, max_value=high, help_text=said, widget=widget)


class LabelsForm(forms.Form):
    """Kinds of labels and the paper. The measures of the paper that wasn't chosen are checked too, and kept."""

    kinds = forms.MultipleChoiceField(choices=KINDS, widget=forms.CheckboxSelectMultiple, label="What to label")
    rack: "forms.ModelChoiceField[Rack]" = forms.ModelChoiceField(
        queryset=None,
        required=False,
        empty_label="The whole site",
        label="Where",
        help_text="A rack: its places, and what its amplifiers drive.",
    )
    paper = forms.ChoiceField(choices=PAPERS, widget=forms.RadioSelect)
    tape_mm = Millimetres("Tape width", 9, 36, help_text="9 to 36 mm; from 12 mm on there is room for a QR code.")
    length_mm = Millimetres("Label length", 30, 200)
    columns = forms.IntegerField(label="Labels across", min_value=1, max_value=10)
    rows = forms.IntegerField(label="Labels down", min_value=1, max_value=30)
    width_mm = Millimetres("Label width", 25, 200)
    height_mm = Millimetres("Label height", 9, 280)
    gap_x_mm = Millimetres("Gap across", 0, 30)
    gap_y_mm = Millimetres("Gap down", 0, 30)
    skip = forms.IntegerField(
        label="Labels already used up", min_value=0, max_value=299, help_text="On the first sheet."
    )
    cut_lines = forms.BooleanField(label="Lines to cut along", required=False)

    def __init__(self, data: Mapping[str, Any], *, racks: QuerySet[Rack]) -> None:
        super().__init__(data)
        self.fields["rack"].queryset = racks  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Refuse labels that don't fit on the sheet, beside the field that is too large."""
        cleaned = super().clean() or {}
        if self.errors or cleaned["paper"] == TAPE:
            return cleaned
        try:
            self.layout()
        except ValueError as error:
            self.add_error("width_mm" if " across " in str(error) else "height_mm", str(error))
        if cleaned["skip"] >= cleaned["columns"] * cleaned["rows"]:
            self.add_error("skip", "No label would be left on the first sheet.")
        return cleaned

    def layout(self) -> LabelLayout:
        """Return the layout that was chosen. Raises ValueError when it doesn't fit on the sheet."""
        chosen = self.cleaned_data
        if chosen["paper"] == TAPE:
            return tape(height_mm=chosen["tape_mm"], length_mm=chosen["length_mm"])
        names = ("columns", "rows", "width_mm", "height_mm", "gap_x_mm", "gap_y_mm", "skip", "cut_lines")
        return a4_sheet(**{name: chosen[name] for name in names})

    @property
    def choices(self) -> list[forms.BoundField]:
        """What to label, where, on which paper."""
        return [self["kinds"], self["rack"], self["paper"]]

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields as the page shows them."""
        names = {
            "Tape": ("tape_mm", "length_mm"),
            "A4 sheet": ("columns", "rows", "width_mm", "height_mm", "gap_x_mm", "gap_y_mm", "skip"),
        }
        return [(heading, [self[name] for name in fields]) for heading, fields in names.items()]


WORDS: Final = {
    LabelKind.RACKS: ("rack", "racks"),
    LabelKind.PLACES: ("place", "places"),
    LabelKind.CABLES: ("piece of cable", "pieces of cable"),
    LabelKind.LOUDSPEAKERS: ("loudspeaker", "loudspeakers"),
}


def labels_sentence(counts: Mapping[LabelKind, int]) -> str:
    """Return what there is to label, in one sentence."""
    said = [f"{count} {WORDS[kind][count != 1]}" for kind, count in counts.items() if count]
    if not said:
        return "Nothing is recorded yet that could be labelled: record racks, places or lines first."
    listed = " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)
    return f"{listed} can be labelled; a piece of cable takes two labels."
