"""Forms of freezing, and of a restore's steps, readings and signature."""

from typing import Any

from django import forms

from registry.baselines.models import RestoreStep
from registry.equipment.models import State
from registry.web.audio.reading_forms import ReadingForm

ANSWERS = (("open", "Open"), ("right", "Found right"), ("set", "Set"), ("could-not", "Could not be set"))


class FreezeForm(forms.Form):
    """Why the site's present state is the agreed one."""

    reason = forms.CharField(
        label="Why now",
        max_length=400,
        widget=forms.Textarea({"rows": 3}),
        help_text="What was agreed, with whom, or what work this follows. The next tech will want to know.",
    )
    with_exceptions = forms.BooleanField(label="Freeze with these exceptions", required=False)
    number = forms.IntegerField(widget=forms.HiddenInput, required=False)


class StepForm(forms.Form):
    """What was found at one step of a restore, and what came of it: which button was pressed says it."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=200, strip=False)
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)
    answer = forms.ChoiceField(choices=ANSWERS, widget=forms.HiddenInput)
    found = forms.CharField(label="Found", required=False, max_length=400)
    could_not = forms.CharField(label="Why not", required=False, max_length=400)

    def clean(self) -> dict[str, Any]:
        """Ask for the reason where something could not be set."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("answer") == "could-not" and not cleaned.get("could_not"):
            self.add_error("could_not", "Say why it could not be set.")
        return cleaned

    def values(self) -> dict[str, Any]:
        """Return what the action takes."""
        answer = self.cleaned_data["answer"]
        why = self.cleaned_data["could_not"] if answer == "could-not" else ""
        names = ("key", "seen", "found")
        return {name: self.cleaned_data[name] for name in names} | {"done": answer == "set", "could_not": why}


def answered(step: RestoreStep | None) -> dict[str, Any]:
    """Return what a step's form shows at first."""
    if step is None:
        return {}
    return {"found": step.found, "could_not": step.could_not, "seen": step.version}


class RestoreReadingForm(ReadingForm):
    """A level read in a zone during a restore, as found or as left; the time is now."""

    zone = forms.IntegerField(widget=forms.HiddenInput)
    state = forms.ChoiceField(choices=State.choices, widget=forms.HiddenInput)

    class Meta(ReadingForm.Meta):
        """What changes between as found and as left; the drive belongs to commissioning."""

        fields = ("level_db", "background_db", "dial", "cap", "meter", "meter_class", "track", "spot")
        help_texts: dict[str, str] = {}

    @property
    def numbers(self) -> list[Any]:
        """The fields that are read now."""
        return [self[name] for name in ("level_db", "background_db", "dial", "cap")]

    @property
    def same_as_before(self) -> list[Any]:
        """The fields that should be what they were when the baseline was frozen."""
        return [self[name] for name in ("meter", "meter_class", "track", "spot")]


class SignForm(forms.Form):
    """The name that closes a restore."""

    signature = forms.CharField(label="Your name", max_length=120, widget=forms.TextInput({"autocomplete": "name"}))
    remarks = forms.CharField(label="Remarks", required=False, max_length=2000, widget=forms.Textarea({"rows": 3}))
    with_open_steps = forms.BooleanField(label="Sign with these steps open", required=False)
