"""The form of a calculation: it shows what was typed and what is wrong with it; reading is the inputs' own work."""

from typing import Any

from django import forms

from registry.web.workbench.declaring import Calculation, Input
from registry.web.workbench.kinds import Choice, Number, Quantity, Whole
from registry.web.workbench.working import WHOLE, Outcome

PLAIN_TEXT = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}
FEWEST_ROWS, MOST_ROWS = 3, 16


class TypedField(forms.CharField):
    """A field that leaves every judgement to the input behind it."""

    def validate(self, value: Any) -> None:
        """Accept anything: the faults come from the outcome."""


class CalculationForm(forms.Form):
    """One field for each input, with the faults of an outcome beside them."""

    def __init__(self, calculation: Calculation, outcome: Outcome) -> None:
        super().__init__({field.name: _shown(field, outcome.typed[field.name]) for field in calculation.inputs})
        for field in calculation.inputs:
            self.fields[field.name] = TypedField(
                label=field.label,
                required=field.required,
                widget=_widget(field, outcome.typed[field.name]),
                help_text=_hint(field),
            )
        self.full_clean()
        for name, says in outcome.faults.items():
            self.add_error(None if name == WHOLE else name, f"{says[0].upper()}{says[1:]}.")

    def wrong(self) -> list[forms.BoundField]:
        """Return the fields that have to be corrected, in order."""
        return [field for field in self if field.errors]


def _shown(field: Input, typed: str) -> str:
    """A choice that was left out shows what it then stands for."""
    return typed or (field.default or "") if isinstance(field.kind, Choice) else typed


def _widget(field: Input, typed: str) -> forms.Widget:
    if isinstance(field.kind, Choice):
        nothing = [("", "choose")] if field.default is None else []
        return forms.Select(choices=[*nothing, *field.kind.options.items()])
    attributes = {**PLAIN_TEXT, **({"placeholder": field.default} if field.default else {})}
    if field.kind.widget == "lines":
        rows = min(max(typed.count("\n") + 2, FEWEST_ROWS), MOST_ROWS)
        return forms.Textarea({**attributes, "rows": rows})
    return forms.TextInput(attributes)


def _hint(field: Input) -> str:
    """The input's own help; the range behind it for single values, and wherever there is no help."""
    if isinstance(field.kind, Choice) or (field.help and not isinstance(field.kind, Quantity | Number | Whole)):
        return field.help
    allowed = field.kind.allowed
    default = f" Left empty: {field.default}." if field.default else ""
    return f"{field.help} {allowed[0].upper()}{allowed[1:]}.{default}".strip()
