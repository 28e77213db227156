"""Fields that take exactly what the schema says: a number is a number, not a text that looks like one."""

import math
import re
from collections.abc import Callable
from typing import Any, Final

from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.paging import LARGEST_ID
from sites.fields import Quantity
from sites.models import User

LARGEST: Final = 1e300  # what sites.fields.Quantity lets into a column at most
MOMENT: Final = re.compile(r"\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:\d\d)", re.ASCII)
DAY: Final = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
MONEY: Final = re.compile(r"[0-9]{1,10}(\.[0-9]{1,2})?")


class Text(serializers.CharField):
    """A text."""

    def to_internal_value(self, data: Any) -> str:
        """Take a text only."""
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Whole(serializers.IntegerField):
    """A whole number."""

    def to_internal_value(self, data: Any) -> int:
        """Take a whole number only; JSON doesn't tell 5.0 from 5."""
        if isinstance(data, float) and data.is_integer():
            data = int(data)
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return data


class Number(serializers.FloatField):
    """A number, in the unit and range of its column."""

    default_error_messages = {"range": "outside the allowed range: {allowed}"}

    def __init__(self, *, quantity: Quantity | None = None, **kwargs: Any) -> None:
        self.quantity = quantity
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> float:
        """Take a finite number in range."""
        if isinstance(data, bool) or not isinstance(data, int | float):
            self.fail("invalid")
        try:
            value = float(data)
        except OverflowError:
            value = math.inf
        known = self.quantity
        if not (abs(value) <= LARGEST and (known is None or known.accepts(value))):
            self.fail("range", allowed=known.allowed() if known else "a finite number")
        return value


class Flag(serializers.BooleanField):
    """True or false."""

    def to_internal_value(self, data: Any) -> bool:
        """Take true or false only."""
        if not isinstance(data, bool):
            self.fail("invalid", input=data)
        return data


class Choice(serializers.ChoiceField):
    """One of a few words."""

    def to_internal_value(self, data: Any) -> Any:
        """Take one of them, as a text."""
        if not isinstance(data, str):
            self.fail("invalid_choice", input=data)
        return super().to_internal_value(data)


class Day(serializers.DateField):
    """A day (RFC 3339 full-date)."""

    def to_internal_value(self, value: Any) -> Any:
        """Take a day only."""
        if not isinstance(value, str) or not DAY.fullmatch(value):
            self.fail("invalid", format="YYYY-MM-DD")
        return super().to_internal_value(value)


class Moment(serializers.DateTimeField):
    """A time with its offset (RFC 3339 date-time)."""

    def to_internal_value(self, value: Any) -> Any:
        """Take a time that says where on earth it is."""
        if not isinstance(value, str) or not MOMENT.fullmatch(value):
            self.fail("invalid", format="YYYY-MM-DDThh:mm:ssZ")
        return super().to_internal_value(value.upper())


class Money(serializers.DecimalField):
    """An amount, as a text, so that no cent is lost."""

    def validate_empty_values(self, data: Any) -> tuple[bool, Any]:
        """Take an empty text for a fault, not for null."""
        return (False, data) if data == "" else super().validate_empty_values(data)

    def to_internal_value(self, data: Any) -> Any:
        """Take a text with at most two decimals."""
        if not isinstance(data, str) or not MONEY.fullmatch(data):
            self.fail("invalid")
        return super().to_internal_value(data)


class Address(serializers.IPAddressField):
    """An IPv4 or IPv6 address."""


class Reference(serializers.Field):
    """The id of a row that the writer may read. It is looked up when the whole body fits the schema (see rows.py)."""

    default_error_messages = {"invalid": "the id of a row is expected: a whole number from 1"}

    def __init__(self, rows: Callable[[User], QuerySet[Any]], **kwargs: Any) -> None:
        self.rows = rows
        super().__init__(**kwargs)

    def bind(self, field_name: str, parent: Any) -> None:
        """Read the column itself: a related row costs a query."""
        self.source: str = self.source or f"{field_name}_id"
        super().bind(field_name, parent)

    def to_internal_value(self, data: Any) -> int:
        """Take an id."""
        if isinstance(data, float) and data.is_integer():
            data = int(data)
        if isinstance(data, bool) or not isinstance(data, int) or not 1 <= data <= LARGEST_ID:
            self.fail("invalid")
        return int(data)

    def to_representation(self, value: Any) -> Any:
        """Give the id."""
        return value


class RelatedId(serializers.IntegerField):
    """The id of a related row, to be read; null: none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"read_only": True, "allow_null": True, "min_value": 1, **kwargs})
