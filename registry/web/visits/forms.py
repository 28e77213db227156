"""The small forms of a visit: one for each thing that is recorded. What an action refuses stands beside its field."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from registry.baselines.models import Reading
from registry.equipment.models import MakeModel, State
from registry.equipment.queries import models_in_catalogue
from registry.visits.models import Addendum, Finding, Outcome, PartUsed, Visit, VisitTask
from registry.web.audio.reading_forms import ReadingForm
from registry.web.commissioning.forms import ImpedanceForm
from registry.web.forms import SavedByAction

SHORT = {"rows": 2}


class TaskForm(SavedByAction[VisitTask]):
    """A task's answer; its result is the button that sends it."""

    action_checks = True

    class Meta:
        """As found, as left, and why not."""

        model = VisitTask
        fields = ("found", "left", "result", "why_not")
        labels = {"why_not": "Why not"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("found", "left", "why_not"):
            self.fields[name].widget.attrs |= {"autocomplete": "off"}

    def clean(self) -> dict[str, Any]:
        """Leave out why not when another button was pressed: the field is folded away then, but keeps its words."""
        found = super().clean() or self.cleaned_data
        if self.data.get("result") in {"done", "wrong", ""}:
            found["why_not"] = ""
        return found


class LevelForm(ReadingForm):
    """A level of a zone; the button that sends it says whether as found or as left."""

    state = forms.ChoiceField(choices=State.choices, widget=forms.HiddenInput)

    class Meta(ReadingForm.Meta):
        """What is read now; the spot is the zone's."""

        model = Reading
        fields = ("level_db", "background_db", "dial", "cap", "meter", "meter_class", "track")
        help_texts = {
            "level_db": "Slow, or averaged over 15 to 30 s.",
            "background_db": "Same spot, music off.",
            "dial": "What staff see.",
            "cap": "100 when there is none.",
        }

    @property
    def numbers(self) -> list[Any]:
        """The fields that are read at the spot and the dial."""
        return [self[name] for name in ("level_db", "background_db", "dial", "cap")]

    @property
    def same_as_before(self) -> list[Any]:
        """What the level is read with."""
        return [self[name] for name in ("meter", "meter_class", "track")]


class VisitImpedanceForm(ImpedanceForm):
    """What the meter shows at the terminals of a disconnected line."""

    seen = None  # type: ignore[assignment]


class VisitPhotoForm(forms.Form):
    """A photo, taken now or chosen."""

    entry = "Photo"

    photo = forms.FileField(
        widget=forms.ClearableFileInput({"accept": "image/*", "capture": "environment"}),
        help_text="At most 10 MB. Place and time that the camera writes into it are removed. No router labels, "
        "no screens with passwords, no faces.",
    )
    caption = forms.CharField(label="What it shows", max_length=200, required=False)

    def __init__(self, *args: Any, findings: QuerySet[Finding], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["finding"] = forms.ModelChoiceField(
            queryset=findings, required=False, empty_label="the visit", label="Belongs to"
        )


class PartForm(SavedByAction[PartUsed]):
    """Something that was fitted or used up."""

    entry = "Part used"
    make_model: "forms.ModelChoiceField[MakeModel]" = forms.ModelChoiceField(
        models_in_catalogue(), required=False, label="Model, if it is in the catalogue"
    )

    class Meta:
        """What, and how many."""

        model = PartUsed
        fields = ("what", "make_model", "quantity")
        help_texts = {"what": "For example: fuse 5 × 20 mm, 3 A.", "quantity": ""}


class PartCorrectionForm(PartForm):
    """What a part should have been."""

    entry = ""

    class Meta(PartForm.Meta):
        """Nought takes it out."""

        help_texts = {"quantity": "0 takes it out. What was noted first stays readable."}


class CloseForm(SavedByAction[Visit]):
    """How a visit ended, and who signs."""

    action_checks = True

    class Meta:
        """The end of a visit."""

        model = Visit
        fields = ("outcome", "result", "why_not", "minutes", "signature", "accepted_by")
        widgets = {
            "outcome": forms.RadioSelect,
            "result": forms.Textarea(SHORT),
            "why_not": forms.Textarea(SHORT),
            "minutes": forms.NumberInput({"inputmode": "numeric", "min": 0}),
            "signature": forms.TextInput({"autocomplete": "name"}),
        }
        labels = {"outcome": "How it ended", "minutes": "Minutes worked, all people together"}
        help_texts = {
            "result": "The owner reads this first: what holds now, in plain words.",
            "why_not": "Only with exceptions, or when it was not possible.",
            "accepted_by": "Name or duty of who was told at the site; empty when nobody was there.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["outcome"] = forms.ChoiceField(
            choices=Outcome.choices, widget=forms.RadioSelect, label="How it ended"
        )
        for name in ("result", "signature"):
            self.fields[name].required = True


class AddendumForm(SavedByAction[Addendum]):
    """What is added after closing."""

    class Meta:
        """Words."""

        model = Addendum
        fields = ("says",)
        widgets = {"says": forms.Textarea({"rows": 4})}
        labels = {"says": "What is added"}
        help_texts = {"says": "The owner reads it below the report, with your name and today's date."}
