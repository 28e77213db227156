"""Model fields that carry a unit and a range, checked in the form and again in the database."""

import math
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper

from registry.engineering.units import read_quantity

if TYPE_CHECKING:
    NullableFloatField = models.FloatField[float | None, float | None]
else:
    NullableFloatField = models.FloatField  # not subscriptable at run time


class QuantityInput(forms.Field):
    """Reads what people type ("60 ft", "2 kg", "18.5") as a number in the field's unit."""

    def __init__(self, *, quantity: "Quantity", **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.quantity = quantity

    def to_python(self, value: Any) -> Any:
        """Return the number in the field's unit, or None when nothing was typed."""
        text = str(value or "").strip()
        if not text:
            return None
        try:
            return read_quantity(text, self.quantity.unit)
        except ValueError as error:
            raise ValidationError(str(error)) from error

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare as numbers, so that "2.50" is not a change of 2.5."""
        try:
            return bool(self.to_python(data) != initial)
        except ValidationError:
            return True


class Quantity(NullableFloatField):
    """A number with a unit and a range: [minimum, maximum], or above `above`; NULL means not known.

    The range is declared once and held by the form, `full_clean`, the survey import and a CHECK in the database.
    """

    def __init__(
        self,
        *args: Any,
        unit: str = "",
        minimum: float | None = 0.0,
        above: float | None = None,
        maximum: float | None = None,
        **kwargs: Any,
    ) -> None:
        self.unit, self.minimum, self.above, self.maximum = unit, minimum, above, maximum
        kwargs.setdefault("null", True)
        kwargs.setdefault("blank", True)
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> Any:
        """Return what a migration must write to build this field again."""
        name, path, args, kwargs = super().deconstruct()
        kwargs |= {"unit": self.unit, "minimum": self.minimum, "above": self.above, "maximum": self.maximum}
        return name, path, args, kwargs

    def allowed(self) -> str:
        """Return the range in words, for messages."""
        if self.above is not None:
            low = f"above {self.above:g}"
        elif self.minimum is not None:
            low = f"{self.minimum:g} or more"
        else:
            low = "any number"
        high = "" if self.maximum is None else f", at most {self.maximum:g}"
        return f"{low}{high}{' ' + self.unit if self.unit else ''}"

    def validate(self, value: Any, model_instance: Any) -> None:
        """Refuse numbers outside the range, and those that are not finite."""
        super().validate(value, model_instance)
        if value is not None and not self.accepts(value):
            raise ValidationError(f"{value:g} is outside the allowed range: {self.allowed()}")

    def accepts(self, value: float) -> bool:
        """Return whether the number is finite and inside the range."""
        return (
            math.isfinite(value)
            and (self.minimum is None or value >= self.minimum)
            and (self.above is None or value > self.above)
            and (self.maximum is None or value <= self.maximum)
        )

    def db_check(self, connection: BaseDatabaseWrapper) -> str | None:
        """Return the CHECK of the column. The upper end also keeps NaN and infinity out on PostgreSQL."""
        column = connection.ops.quote_name(self.column or self.name)
        parts = [f"{column} <= {self.maximum if self.maximum is not None else 1e300}"]
        if self.above is not None:
            parts.append(f"{column} > {self.above}")
        elif self.minimum is not None:
            parts.append(f"{column} >= {self.minimum}")
        return " AND ".join(parts)

    def formfield(self, **kwargs: Any) -> Any:
        """Return a text input that reads units."""
        kwargs = {
            "required": not self.blank,
            "label": self.verbose_name,
            "help_text": self.help_text,
            "initial": self.default if self.has_default() else None,
        } | {key: kwargs[key] for key in ("required", "label", "help_text", "initial", "widget") if key in kwargs}
        return QuantityInput(quantity=self, **kwargs)
