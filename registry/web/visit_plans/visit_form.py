"""Forms of a visit before it is begun, and of a date of a plan."""

from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from registry.visits.models import Visit
from registry.web.fields import DayInput, SiteTimeField
from registry.web.forms import ConfirmForm
from registry.web.versions import FIELD, Versioned
from registry.web.visit_plans.people import tech_field
from registry.web.visit_plans.plan_form import TimeInput
from sites.models import User


class VisitForm(Versioned, forms.Form):
    """When a visit is, for how long, and who goes. `visit`: the one that is moved; it keeps its title."""

    shown_beside = {"planned_minutes": "minutes"}

    title = forms.CharField(label="What for", max_length=200)
    minutes = forms.IntegerField(label="Planned minutes", min_value=5, max_value=1440, initial=60)

    def __init__(self, *args: Any, asks: User, zone: ZoneInfo, visit: Visit | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["starts_at"] = SiteTimeField(zone=zone, label="Starts")
        self.fields["tech"] = tech_field(asks, "Who goes")
        order = ["title", "starts_at", "minutes", "tech"]
        if visit is not None:
            del self.fields["title"]
        self.order_fields(order)
        self.carry_version(visit)

    def values(self) -> dict[str, Any]:
        """Return what was typed."""
        return {name: value for name, value in self.cleaned_data.items() if name != FIELD}


class ReasonForm(ConfirmForm):
    """Why a visit is called off."""

    reason = forms.CharField(label="Why", max_length=400, widget=forms.Textarea({"rows": 2}))


class MoveDateForm(forms.Form):
    """Another day for one date of a plan, or none."""

    left_out = forms.BooleanField(label="Leave this date out: no visit", required=False)
    to = forms.DateField(label="Hold it on", widget=DayInput, required=False)
    starts_at = forms.TimeField(
        label="Time of day", widget=TimeInput, required=False, help_text="Empty: the plan's own time."
    )
    reason = forms.CharField(label="Why", max_length=400)

    def clean(self) -> dict[str, Any]:
        """Ask for a day or for none, not both."""
        cleaned = super().clean() or self.cleaned_data
        if bool(cleaned.get("to")) == bool(cleaned.get("left_out")) and "to" not in self.errors:
            self.add_error("to", "Give another day, or leave the date out: one of the two.")
        return cleaned
