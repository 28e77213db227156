"""The base of every form that shows a row."""

from copy import copy
from typing import TYPE_CHECKING, Any, TypeVar

from django import forms
from django.db.models import Model

from registry.web.versions import FIELD, AskedAgain, Versioned
from sites.fields import QuantityInput

M = TypeVar("M", bound=Model)
EXAMPLES = {"m": "8 ft", "m2": "200 sq ft", "kg": "18 lb"}

if TYPE_CHECKING:
    ModelForm = forms.ModelForm
    FormSet = forms.BaseFormSet
else:

    class ModelForm(forms.ModelForm):
        """Django's form of a model, which takes its model in brackets, for the type checker's sake."""

        def __class_getitem__(cls, model: Any) -> type:
            """Return the class itself."""
            return cls

    class FormSet(forms.BaseFormSet):
        """Django's set of forms, which takes its form in brackets, for the type checker's sake."""

        def __class_getitem__(cls, form: Any) -> type:
            """Return the class itself."""
            return cls


class NumberText(forms.TextInput):
    """Shows a stored number without idle zeros, and what was typed as it was typed."""

    def format_value(self, value: Any) -> str | None:
        """Return the text of the input."""
        return f"{value:.12g}" if isinstance(value, float) else super().format_value(value)


class SavedByAction(Versioned, ModelForm[M]):
    """A form of a row that an action writes: `values()` are for the action, the form itself never saves.

    A row that was loaded in order to change it (`changeable`) is shown with its version, which goes to the action too.
    `action_checks` leaves the table's constraints to the action, where that says better what is wrong, and where.
    """

    action_checks = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        # Validation writes into the instance; on a copy the action still sees what was there before.
        kwargs["instance"] = copy(kwargs.get("instance"))
        super().__init__(*args, **kwargs)
        if self.action_checks:
            self.instance.validate_constraints = _leave_to_action  # type: ignore[method-assign]
        for field in self.fields.values():
            if isinstance(field, QuantityInput):
                field.widget = NumberText()
                name_unit(field)
        self.carry_version(self.instance)

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return what was typed, by column, without the fields that aren't columns of the row."""
        return {name: value for name, value in self.cleaned_data.items() if name not in (*without, FIELD)}

    def edited(self) -> dict[str, Any]:
        """Return what an action that changes a row is given: what was typed, and the version that the writer saw."""
        return {"values": self.values(), "version": self.version()}

    def save(self, commit: bool = True) -> M:
        """Refuse: writing is an action's work, which knows who writes and keeps the history."""
        raise TypeError(f"{type(self).__name__} is saved by an action; give it values()")


class ConfirmForm(AskedAgain, forms.Form):
    """A question about a row, without fields; asked again when somebody changed the row meanwhile."""

    def __init__(self, *args: Any, row: Model, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.carry_version(row)


def _leave_to_action(exclude: Any = None) -> None:
    """Check nothing."""


def name_unit(field: QuantityInput) -> None:
    """Say in which unit a bare number is, and that another one may be typed."""
    unit = field.quantity.unit
    if not unit:
        return
    field.label = f"{field.label} ({unit})"
    if unit in EXAMPLES and not field.help_text:
        field.help_text = f"In {unit}, or with its unit: {EXAMPLES[unit]}."
