"""Readers of cells: each turns text into a value, or raises ValueError saying what is expected."""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from registry.engineering.units import read_cable_size, read_quantity
from sites.fields import Quantity
from sites.quoting import unquote_formula

Reader = Callable[[str], Any]


@dataclass(frozen=True)
class Column:
    """A column of a survey file: its name, how its cells are read, whether one may be empty and what that means."""

    name: str
    read: Reader
    required: bool = False
    default: Any = None


def column(name: str, read: Reader, *, required: bool = False, default: Any = None) -> Column:
    """Return a column whose equal cells are read once: a survey repeats most of its words."""
    return Column(name, lru_cache(maxsize=2048)(read), required, default)


def like(model: type[models.Model], field_name: str) -> Reader:
    """Return the reader of a model's field: its unit, range, choices and validators, declared once with the field."""
    field: Any = model._meta.get_field(field_name)
    if isinstance(field, Quantity):
        return lambda text: _quantity(field, text)
    if field.choices:
        return lambda text: _choice([value for value, _ in field.choices], text)
    if isinstance(field, models.DateField):
        return iso_date
    if isinstance(field, models.IntegerField):
        return lambda text: _whole(field, text)
    if isinstance(field, models.DecimalField):
        return lambda text: _money(field, text)
    return lambda text: _text(field, text)


def _quantity(field: Quantity, text: str) -> float:
    try:
        value = read_quantity(text, field.unit)
    except ValueError as error:
        raise ValueError(str(error).removeprefix(f"cannot read {text!r}: ")) from error
    if not field.accepts(value):
        raise ValueError(field.allowed())
    return value


def _choice(values: list[str], text: str) -> str:
    if text.lower() not in values:
        raise ValueError("one of " + ", ".join(values))
    return text.lower()


def _whole(field: Any, text: str) -> int:
    limits = {type(validator): validator.limit_value for validator in field.validators}
    low, high = limits.get(MinValueValidator, 0), min(limits.get(MaxValueValidator, 32767), 32767)
    if not re.fullmatch(r"[0-9]{1,6}", text) or not low <= int(text) <= high:
        raise ValueError(f"a whole number from {low} to {high}")
    return int(text)


def _money(field: Any, text: str) -> Decimal:
    if not re.fullmatch(r"[0-9]{1,10}(\.[0-9]{1,2})?", text):
        raise ValueError("an amount such as 349 or 349.50, without a currency sign")
    return Decimal(text).quantize(Decimal("0.01"))


def _text(field: Any, text: str) -> str:
    text = unquote_formula(text)
    if any(unicodedata.category(sign) == "Cc" and sign not in "\n\t" for sign in text):
        raise ValueError("text without control characters")
    if field.max_length and len(text) > field.max_length:
        raise ValueError(f"at most {field.max_length} characters, got {len(text)}")
    try:
        field.run_validators(text)
        return str(field.to_python(text))
    except ValidationError as error:
        raise ValueError("; ".join(error.messages)) from error


# Nothing that a register holds is older or will last longer; a slip of the keyboard is told instead of stored.
YEARS = "(19[5-9][0-9]|20[0-9][0-9])"


def iso_date(text: str) -> date:
    """Read a day of the calendar, written year-month-day."""
    try:
        if not re.fullmatch(YEARS + r"-\d{2}-\d{2}", text):
            raise ValueError
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError("a day of the calendar as year-month-day, for example 2026-02-28") from None


def iso_moment(text: str) -> datetime:
    """Read a date with a time; naive where no offset is given."""
    try:
        if not re.match(YEARS + r"-\d{2}-\d{2}[T ]\d{2}:\d{2}", text):
            raise ValueError
        return datetime.fromisoformat(text)
    except ValueError:
        raise ValueError("a date and time such as 2026-02-28T14:30 or 2026-02-28T14:30+01:00") from None


def watts(text: str) -> list[float]:
    """Read taps: watts separated by spaces, largest first."""
    values = {read_quantity(word, "W") for word in text.split()}
    if any(value <= 0 for value in values):
        raise ValueError("taps above 0 W, separated by spaces")
    return sorted(values, reverse=True)


def cable_size(text: str) -> str:
    """Read a conductor size such as 18 AWG or 1.5 mm2."""
    return read_cable_size(text)
