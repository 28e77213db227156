"""Forms of findings."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from registry.visits.models import Finding, Visit
from registry.web.fields import DayInput
from registry.web.forms import SavedByAction
from sites.models import Site

ABOUT = ("place", "line", "zone")


class FindingForm(SavedByAction[Finding]):
    """Something wrong or worth doing, and when it is dealt with."""

    class Meta:
        """What was seen, about what, and the follow-up."""

        model = Finding
        fields = ("says", "severity", "follow_up", "due_on", *ABOUT, "internal")
        widgets = {"says": forms.Textarea({"rows": 3}), "due_on": DayInput}
        labels = {"due_on": "By", "internal": "Not for the owner"}
        help_texts = {
            "says": "What you see and hear, in plain words: the owner reads it. No passwords, no addresses.",
            "severity": "Hazardous: somebody can get hurt. Down: nothing works. Degraded: less well, yet acceptable.",
        }

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ABOUT:
            field: Any = self.fields[name]
            field.queryset = field.queryset.filter(site=site)
            field.empty_label = "–"

    @property
    def entry(self) -> str:
        """What it is called among the entries of a phone; editing one needs the network."""
        return "" if self.instance.pk else "Finding"

    def columns(self) -> dict[str, Any]:
        """Return the values as the action takes them: what it is about by its number."""
        values = self.values()
        return {f"{n}_id" if n in ABOUT else n: getattr(v, "pk", v) if n in ABOUT else v for n, v in values.items()}


class FindingDoneForm(SavedByAction[Finding]):
    """What was done about a finding, and at which visit."""

    action_checks = True
    entry = "Finding closed"

    class Meta:
        """Words."""

        model = Finding
        fields = ("done",)
        widgets = {"done": forms.Textarea({"rows": 3})}
        labels = {"done": "What was done"}
        help_texts = {"done": "Or why nothing has to be done."}

    def __init__(self, *args: Any, visits: QuerySet[Visit], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["at_visit"] = forms.ModelChoiceField(
            queryset=visits, required=False, label="At visit", empty_label="without a visit"
        )
        self.fields["done"].required = True
