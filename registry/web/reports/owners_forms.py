"""What may be chosen for an owner's report; it is kept in the address."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Self

from django import forms

from registry.engineering.replacement import MOST_INFLATION


class InflationForm(forms.Form):
    """How much dearer things get."""

    inflation = forms.DecimalField(
        label="Prices rise by, % a year",
        min_value=0,
        max_value=MOST_INFLATION,
        max_digits=4,
        decimal_places=2,
        required=False,
        help_text="Your own assumption; 0 leaves prices as they are today.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "placeholder": "0"}),
    )

    @classmethod
    def asked(cls, address: Mapping[str, Any]) -> Self:
        """Return the form as an address fills it."""
        return cls({"inflation": address.get("inflation", "")})

    @property
    def is_fine(self) -> bool:
        """Whether what was typed can be counted with."""
        return self.is_valid()

    @property
    def percent(self) -> Decimal:
        """The percentage; 0 when nothing, or nothing sensible, was typed."""
        return (self.is_valid() and self.cleaned_data["inflation"]) or Decimal(0)

    @property
    def typed(self) -> str:
        """What was typed, as it was typed."""
        return str(self.data["inflation"])
