"""Fields that are drawn without a template look as Django's templates draw them."""

import re
from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates

from registry.web.form_renderer import DRAWN, Renderer

HOSTILE = '<b>"it\'s" & more'


class Fields(forms.Form):
    """One of each kind that is drawn here."""

    text = forms.CharField(max_length=9, required=True, help_text="A hint.")
    number = forms.IntegerField(min_value=0, required=False)
    email = forms.EmailField(required=False)
    day = forms.DateField(required=False)
    kept = forms.CharField(widget=forms.HiddenInput, required=False)
    bare = forms.CharField(widget=forms.TextInput({"autofocus": True, "hidden": False, "placeholder": HOSTILE}))
    kind = forms.ChoiceField(choices=[("", "Any"), (HOSTILE, HOSTILE), (1, "One")], required=False)
    grouped = forms.ChoiceField(choices=[("Group <1>", [("a", "A"), ("b", "B")]), ("c", "C")], widget=forms.Select)


def drawn(form: forms.Form, renderer: Any) -> dict[str, str]:
    return {
        field.name: re.sub(r">\s+<", "><", field.field.widget.render(field.html_name, field.value(), attrs, renderer))
        for field in form
        for attrs in [field.build_widget_attrs({"id": field.auto_id})]
    }


@pytest.mark.parametrize(
    "data", [None, {}, dict.fromkeys(Fields.base_fields, HOSTILE), {"kind": "1", "grouped": "b", "number": "7"}]
)
def test_fields_look_as_django_draws_them(data: dict[str, str] | None) -> None:
    form = Fields(data)
    assert drawn(form, Renderer()) == drawn(form, DjangoTemplates())


def test_each_kind_is_drawn_here_or_by_django() -> None:
    used = {field.widget.template_name for field in Fields.base_fields.values()}
    assert used | {"django/forms/widgets/date.html"} == set(DRAWN)
    assert "<textarea" in forms.Textarea().render("notes", "x", renderer=Renderer())
