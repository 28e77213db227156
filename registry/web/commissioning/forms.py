"""The small forms of commissioning: one for each step. What an action refuses stands beside its field."""

import hashlib
from typing import Any

from django import forms

from registry.baselines.models import Reading
from registry.planning.models import Commissioning, LineMeasurement, Polarity, ZoneTarget
from registry.planning.models.commissioning import SHA256
from registry.web.audio.reading_forms import ReadingForm
from registry.web.forms import SavedByAction

TRACK_MAX_BYTES = 200 * 1024 * 1024
NUMBER = {"inputmode": "decimal", "autocomplete": "off"}


def seen_field() -> forms.CharField:
    """Return the hidden field that says which version of a step the tech was looking at."""
    return forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)


class TrackForm(SavedByAction[Commissioning]):
    """The reference track: its name, the hash of its file (chosen here or typed), its level."""

    track_sha256 = forms.CharField(
        label="SHA-256 of the file",
        required=False,
        max_length=200,
        help_text="64 digits, if you have them already: then no file is needed.",
        widget=forms.TextInput({"autocomplete": "off", "spellcheck": "false"}),
    )
    file = forms.FileField(
        label="The file itself",
        required=False,
        allow_empty_file=False,
        help_text="Only its hash is kept: it tells the next tech whether it is the same file. At most 200 MB.",
    )
    seen = seen_field()

    class Meta:
        """What identifies a track."""

        model = Commissioning
        fields = ("track_name", "track_sha256", "track_level_dbfs")
        labels = {"track_name": "Name"}
        help_texts = {
            "track_name": "The file that plays at every reading, from the input that the music comes from.",
            "track_level_dbfs": "RMS level re full scale, for example -20; empty when it is not known.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(("track_name", "file", "track_sha256", "track_level_dbfs"))
        self.fields["track_name"].required = True
        self.fields["track_level_dbfs"].widget.attrs |= {"inputmode": "text", "autocomplete": "off"}

    def clean_track_sha256(self) -> str:
        """Take the digits as programs print them: with the file's name behind, or in capitals."""
        typed = str(self.cleaned_data["track_sha256"]).split()
        digits = typed[0].lower() if typed else ""
        if digits:
            SHA256(digits)
        return digits

    def clean(self) -> dict[str, Any]:
        """Put the hash of a chosen file in its place; a typed one has to be the same."""
        cleaned: dict[str, Any] = super().clean() or {}
        file = cleaned.get("file")
        if file is None:
            return cleaned
        if file.size > TRACK_MAX_BYTES:
            raise forms.ValidationError({"file": "The file is larger than 200 MB: type its hash instead."})
        found = hashlib.sha256()
        for chunk in file.chunks():
            found.update(chunk)
        if cleaned.get("track_sha256") and cleaned["track_sha256"] != found.hexdigest():
            raise forms.ValidationError(
                {"track_sha256": f"The chosen file has {found.hexdigest()}: clear one of them."}
            )
        cleaned["track_sha256"] = found.hexdigest()
        return cleaned


class ImpedanceForm(SavedByAction[LineMeasurement]):
    """What the meter shows at the terminals of a disconnected line."""

    corrects = forms.BooleanField(label="The value above was typed wrongly", required=False)
    seen = seen_field()

    class Meta:
        """A value with its frequency, or an open line."""

        model = LineMeasurement
        fields = ("impedance_ohm", "frequency_hz", "is_open")
        labels = {"is_open": "No continuity: the meter shows an open line"}
        help_texts = {"frequency_hz": "It stands on the meter, often 1 kHz; 0 for a DC resistance."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("impedance_ohm", "frequency_hz"):
            self.fields[name].widget.attrs |= NUMBER
        self.fields["frequency_hz"].required = True
        self.fields["frequency_hz"].error_messages["required"] = "A value without its frequency can't be compared."

    def clean(self) -> dict[str, Any]:
        """Refuse a value of an open line."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("is_open") and cleaned.get("impedance_ohm") is not None:
            self.add_error("impedance_ohm", "An open line has no value: clear it, or the tick below.")
        return cleaned


class PolarityForm(forms.Form):
    """What a polarity test gave."""

    polarity = forms.ChoiceField(label="What the test gave", choices=Polarity.choices, widget=forms.RadioSelect)
    polarity_note = forms.CharField(label="Which loudspeakers, or why not", required=False, max_length=400)
    seen = seen_field()


class SpotForm(forms.Form):
    """Where a zone is read."""

    spot = forms.CharField(
        max_length=120,
        help_text="At ear height, neither under a loudspeaker nor at a wall: so that a stranger finds it.",
    )
    seen = seen_field()


class PhotoForm(forms.Form):
    """A photo of the spot."""

    photo = forms.FileField(
        widget=forms.ClearableFileInput({"accept": "image/jpeg,image/png,image/webp"}),
        help_text="JPEG, PNG or WebP, at most 10 MB. Place and time that the camera writes into it are removed.",
    )


class CommissioningReadingForm(ReadingForm):
    """A level with dial, cap, background and the drive at the terminals; spot and track are those of the run."""

    seen = seen_field()

    class Meta(ReadingForm.Meta):
        """What is read now."""

        model = Reading
        fields = ("level_db", "background_db", "dial", "cap", "drive_v", "meter", "meter_class")
        help_texts = {
            "level_db": "Slow, or averaged over 15 to 30 s.",
            "background_db": "Same spot, music off.",
            "dial": "What staff see.",
            "cap": "100 when there is none.",
            "drive_v": "At the channel's terminals, true RMS.",
        }

    @property
    def numbers(self) -> list[Any]:
        """The fields that are read at the spot, the dial and the terminals."""
        return [self[name] for name in ("level_db", "background_db", "dial", "cap", "drive_v")]

    @property
    def meter_fields(self) -> list[Any]:
        """What the level is read with."""
        return [self["meter"], self["meter_class"]]


class WantedForm(SavedByAction[ZoneTarget]):
    """The level that a zone is to have."""

    class Meta:
        """One number."""

        model = ZoneTarget
        fields = ("wanted_db",)
        help_texts = {"wanted_db": "At the spot, from the music alone: without the background."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["wanted_db"].widget.attrs |= NUMBER


class AcceptForm(forms.Form):
    """Which reading is how the zone is left."""

    trial = forms.IntegerField(widget=forms.HiddenInput)
    seen = seen_field()


class PowerCutForm(forms.Form):
    """What a unit did when its plug was pulled and put back."""

    passed = forms.TypedChoiceField(
        label="After the power came back",
        choices=(("yes", "It plays again as it should, without help"), ("no", "It does not")),
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
    )
    says = forms.CharField(
        label="What it did",
        max_length=380,
        help_text="What plays, how loud, after how many seconds, and what had to be pressed.",
    )
    seen = seen_field()


class CouldNotForm(forms.Form):
    """Why a step could not be done."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=80)
    why = forms.CharField(label="Why not", max_length=400, required=False)


class SignedFreezeForm(forms.Form):
    """Why, what was accepted as missing, and who signs."""

    reason = forms.CharField(
        label="Why now",
        max_length=400,
        widget=forms.Textarea({"rows": 2}),
        help_text="What was agreed, with whom, or what work this follows.",
    )
    with_exceptions = forms.BooleanField(label="Freeze with these exceptions", required=False)
    signature = forms.CharField(label="Your name", max_length=120, widget=forms.TextInput({"autocomplete": "name"}))


class HandOverForm(forms.Form):
    """Who took the site over, and what they were shown."""

    handed_to = forms.CharField(label="To whom", max_length=200, help_text="Name or duty, for example manager on duty.")
    training = forms.CharField(
        label="Training given",
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 3}),
        help_text="Volume, what to try first, what not to touch, whom to call. Never a password.",
    )


class StopForm(forms.Form):
    """Why a run ends without hand-over."""

    because = forms.CharField(label="Why it ends here", max_length=1000, widget=forms.Textarea({"rows": 3}))
