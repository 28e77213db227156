"""What a value looks like in a cell of a survey file."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sites.quoting import quote_formula


def show(value: Any) -> str:
    """Return a value as it stands in a cell: empty for not known, whole numbers without a point, ISO 8601 times.

    >>> show(18.0), show(18.288), show(None), show("=x")
    ('18', '18.288', '', "'=x")
    """
    if value is None:
        return ""
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime):
        return value.isoformat(timespec="microseconds" if value.microsecond else "seconds")
    if isinstance(value, date | int | Decimal):
        return str(value)
    return quote_formula(str(value))
