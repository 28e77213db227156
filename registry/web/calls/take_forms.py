"""Forms for taking a call, and for correcting what was taken."""

from collections.abc import Sequence
from typing import Any, Final

from django import forms
from django.db.models import QuerySet
from django.utils import timezone

from registry.audio.models import Zone
from registry.visits.calling import BETWEEN
from registry.visits.models import ServiceCall
from registry.visits.remedies import CHANGES
from registry.visits.sayings import WORDS, Said
from registry.web.fields import RowField, SiteTimeField
from registry.web.forms import SavedByAction
from sites.models import Site

CONCERNED: Final = "concerned"
OF_A_ZONE: Final = (("", "not mentioned"), (CONCERNED, "Concerned, not said how"), *WORDS.items())
OF_ANYTHING: Final = (("", "not mentioned"), *WORDS.items())


class ToldForm(SavedByAction[ServiceCall]):
    """Who called, and what they say."""

    changes = forms.MultipleChoiceField(
        label="What changed before",
        choices=[(each, each.capitalize()) for each in CHANGES],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        """In the order of the conversation."""

        model = ServiceCall
        fields = ("says", "caller", "phone", "since", "changed")
        widgets = {
            "says": forms.Textarea({"rows": 3}),
            "phone": forms.TextInput({"inputmode": "tel", "autocomplete": "off"}),
            "caller": forms.TextInput({"autocomplete": "off"}),
        }
        labels = {"says": "What they say, in their own words", "caller": "Who calls", "changed": "Anything else"}
        help_texts = {
            "says": "The owner reads it. Name the zones as the list below does. No passwords or codes.",
            "since": "For example: since this morning, after closing on Sunday.",
            "changed": "Empty: nobody knows of anything.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._show_changes()
        self.order_fields(("says", "caller", "phone", "since", "changes", "changed"))

    def _show_changes(self) -> None:
        told = [each for each in str(self.initial.get("changed") or "").split(BETWEEN) if each]
        self.initial["changes"] = [each for each in told if each in CHANGES]
        self.initial["changed"] = BETWEEN.join(each for each in told if each not in CHANGES)

    def told(self) -> dict[str, Any]:
        """Return the columns of the call; what was ticked stands before what was typed."""
        cleaned = self.cleaned_data
        changed = BETWEEN.join(filter(None, [*cleaned["changes"], cleaned["changed"]]))
        return {name: cleaned[name] for name in ("caller", "phone", "says", "since")} | {"changed": changed}


class TakeCallForm(ToldForm):
    """A call as it is taken: how it is in each zone, and perhaps at one loudspeaker."""

    everywhere = forms.ChoiceField(label="The whole site", choices=OF_ANYTHING, required=False)
    at_loudspeaker = forms.ChoiceField(label="How it is there", choices=OF_ANYTHING, required=False)
    answered = forms.BooleanField(label="I am speaking, or have spoken, with the caller", required=False, initial=True)

    def __init__(self, *args: Any, site: Site, zones: Sequence[Zone], labels: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zones = zones
        for zone in zones:
            self.fields[_name(zone)] = forms.ChoiceField(label=zone.name, choices=OF_A_ZONE, required=False)
        choices = [("", "none in particular"), *((each, each) for each in labels)]
        self.fields["loudspeaker"] = forms.ChoiceField(label="One loudspeaker", required=False, choices=choices)
        self.fields["called_at"] = SiteTimeField(
            zone=site.zone_info, label="Called at", initial=timezone.now().replace(second=0, microsecond=0)
        )

    @property
    def first_fields(self) -> list[Any]:
        """Who, and what they say."""
        return [self[name] for name in ("says", "caller", "phone", "called_at", "since", "changes", "changed")]

    @property
    def zone_fields(self) -> list[Any]:
        """How it is, zone by zone."""
        return [self["everywhere"], *(self[_name(zone)] for zone in self.zones)]

    def clean(self) -> dict[str, Any]:
        """Ask how it is at the loudspeaker that was chosen."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("loudspeaker") and not cleaned.get("at_loudspeaker"):
            self.add_error("at_loudspeaker", "Say how it is at this loudspeaker.")
        if cleaned.get("at_loudspeaker") and not cleaned.get("loudspeaker"):
            self.add_error("loudspeaker", "Say which loudspeaker.")
        return cleaned

    def concerned(self) -> list[Zone]:
        """Return the zones that the call is about: all that were mentioned but those as usual."""
        chosen = {zone: self.cleaned_data[_name(zone)] for zone in self.zones}
        return [zone for zone, kind in chosen.items() if kind not in ("", "as usual")]

    def said(self) -> list[Said]:
        """Return what is said, by zone and loudspeaker."""
        cleaned = self.cleaned_data
        said = [Said(cleaned["everywhere"])] if cleaned["everywhere"] else []
        chosen = [(zone.name, cleaned[_name(zone)]) for zone in self.zones]
        said += [Said(kind, zone=name) for name, kind in chosen if kind in WORDS]
        if cleaned["loudspeaker"]:
            said.append(Said(cleaned["at_loudspeaker"], loudspeaker=cleaned["loudspeaker"]))
        return said


def _name(zone: Zone) -> str:
    return f"zone-{zone.pk}"


class EditCallForm(ToldForm):
    """What was taken, corrected. What is said of a zone is changed on the call's page."""

    def __init__(self, *args: Any, zones: Sequence[Zone], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = [zone.pk for zone in self.instance.zones.all()]
        self.fields["zones"] = forms.TypedMultipleChoiceField(
            label="Zones concerned",
            coerce=int,
            required=False,
            choices=[(zone.pk, zone.name) for zone in zones],
            initial=chosen,
            widget=forms.CheckboxSelectMultiple,
            help_text="None: the whole site.",
        )


class WhichSiteForm(forms.Form):
    """The site that a call is about."""

    def __init__(self, *args: Any, sites: QuerySet[Site], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = RowField(sites, label="Site", to_field_name="code", typed_as=("code", "name"))
        field.label_from_instance = lambda site: f"{site.name}, {site.client.name}"
        self.fields["site"] = field
