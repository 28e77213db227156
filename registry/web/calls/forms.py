"""The small forms of a call's page: what is said, read and noted, the visit, and the end."""

from typing import Any, Final

from django import forms
from django.db.models import QuerySet
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.models import Reading
from registry.visits.models import Cause, CausedBy, Mechanism, ServiceCall
from registry.visits.sayings import WORDS, Said
from registry.web.audio.reading_forms import ReadingForm
from registry.web.commissioning.forms import ImpedanceForm
from registry.web.fields import SiteTimeField
from registry.web.forms import SavedByAction
from registry.web.visit_plans.people import tech_field
from sites.models import Site, User, YesNoUnknown

ZONE, LOUDSPEAKER = "zone:", "loudspeaker:"
EMPTY: Final = ("", "choose")


class SaidForm(forms.Form):
    """How it is at one place."""

    where = forms.CharField(required=False, max_length=160)
    kind = forms.ChoiceField(label="How it is there", choices=list(WORDS.items()))

    @property
    def said(self) -> Said:
        """Return what was chosen."""
        where, kind = self.cleaned_data["where"], self.cleaned_data["kind"]
        if where.startswith(ZONE):
            return Said(kind, zone=where.removeprefix(ZONE))
        return Said(kind, loudspeaker=where.removeprefix(LOUDSPEAKER))


def where_choices(zones: list[str], labels: list[str]) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the places that something can be said of, in groups."""
    return [
        ("Zones", [("", "The whole site"), *((f"{ZONE}{name}", name) for name in zones)]),
        ("Loudspeakers", [(f"{LOUDSPEAKER}{label}", label) for label in labels]),
    ]


class CallLevelForm(ReadingForm):
    """The level of a zone as it is found."""

    class Meta(ReadingForm.Meta):
        """What is read now; the spot is the zone's."""

        model = Reading
        fields = ("level_db", "background_db", "dial", "cap", "meter", "meter_class", "track")
        help_texts = {"level_db": "At its spot, slow or averaged over 15 to 30 s.", "background_db": "Music off."}

    def __init__(self, *args: Any, zones: QuerySet[Zone], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zone"] = forms.ModelChoiceField(queryset=zones, empty_label=None)
        self.order_fields(("zone",))


class CallImpedanceForm(ImpedanceForm):
    """What the meter shows at the terminals of a disconnected line."""

    seen = None  # type: ignore[assignment]
    corrects = None  # type: ignore[assignment]

    def __init__(self, *args: Any, lines: QuerySet[Line], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["line"] = forms.ModelChoiceField(queryset=lines, empty_label=None)
        self.order_fields(("line",))


class CallVisitForm(forms.Form):
    """When somebody goes, and who."""

    minutes = forms.IntegerField(label="Planned minutes", min_value=5, max_value=1440, initial=60)

    def __init__(self, *args: Any, asks: User, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = timezone.now().replace(second=0, microsecond=0)
        self.fields["starts_at"] = SiteTimeField(zone=site.zone_info, label="Starts", initial=now)
        self.fields["tech"] = tech_field(asks, "Who goes")
        self.order_fields(("starts_at", "minutes", "tech"))


class NoteForm(forms.Form):
    """A note of ours."""

    says = forms.CharField(label="Note", max_length=2000, widget=forms.Textarea({"rows": 3}))


class CloseCallForm(SavedByAction[ServiceCall]):
    """What it was, and what it cost."""

    action_checks = True

    class Meta:
        """The words are those of ISO 14224, explained."""

        model = ServiceCall
        fields = ("was", "mechanism", "cause", "caused_by", "minutes", "record_would_have_saved")
        widgets = {"was": forms.Textarea({"rows": 2}), "minutes": forms.NumberInput({"inputmode": "numeric", "min": 0})}
        labels = {"minutes": "Minutes spent, by all of us, with the drive"}
        help_texts = {"was": "In plain words: the owner reads it."}

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words: dict[str, tuple[str, Any, str]] = {
            "mechanism": ("How it failed", Mechanism.choices, "What was wrong with the thing itself."),
            "cause": ("Why", Cause.choices, "What let it come to that."),
            "caused_by": ("Who or what brought it about", CausedBy.choices, ""),
            "record_would_have_saved": (
                "Would the record have saved the trip?",
                YesNoUnknown.choices,
                "Had somebody looked it up and told the caller what to do.",
            ),
        }
        for name, (label, choices, hint) in words.items():
            self.fields[name] = forms.ChoiceField(label=label, choices=[EMPTY, *choices], help_text=hint)
        self.fields["was"].required = True
        self.fields["plays_again"] = forms.ChoiceField(
            label="Does it play again?", choices=[EMPTY, ("yes", "Yes, since the time below"), ("no", "No, not yet")]
        )
        self.fields["restored_at"] = SiteTimeField(
            zone=site.zone_info,
            label="Played again at",
            required=False,
            help_text=f"Clock time at the site ({site.time_zone}). Only if it plays again.",
        )

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return the columns; whether it plays again is said by the time."""
        return super().values(without=(*without, "plays_again"))

    def clean(self) -> dict[str, Any]:
        """Ask since when it plays; a time that was only proposed says nothing where it doesn't."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("plays_again") == "no":
            cleaned["restored_at"] = None
        elif cleaned.get("plays_again") and not cleaned.get("restored_at") and "restored_at" not in self.errors:
            self.add_error("restored_at", "Give the time since when it plays.")
        return cleaned
