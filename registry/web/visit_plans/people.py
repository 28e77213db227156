"""Who can go: the people who make visits, for a form."""

from django import forms

from registry.visits.queries import techs_visible_to
from sites.models import User


def tech_field(user: User, label: str, *, required: bool = False) -> "forms.ModelChoiceField[User]":
    """Return a field to choose who goes."""
    hint = "They are reminded of it."
    people = techs_visible_to(user)
    return forms.ModelChoiceField(people, label=label, required=required, empty_label="Nobody yet", help_text=hint)
