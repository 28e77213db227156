"""The form of a guest link."""

from django import forms

from registry.visits.guests import MOST_DAYS


class GuestLinkForm(forms.Form):
    """For whom, and how long."""

    for_whom = forms.CharField(label="For whom", max_length=120, help_text="Name or duty, for example the manager.")
    days = forms.IntegerField(
        label="Days",
        min_value=1,
        max_value=MOST_DAYS,
        initial=14,
        help_text=f"At most {MOST_DAYS}; it can be ended before.",
    )
