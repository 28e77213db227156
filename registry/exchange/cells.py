"""Cells of a CSV file: what a spreadsheet would run as a formula goes out quoted and comes back as it was."""

import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any

# Text that begins like this is run by spreadsheets; leading apostrophes are our own quoting of such text.
_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_QUOTED = re.compile(r"'+[=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")


def quote_formula(text: str) -> str:
    """Return the text with a leading apostrophe where a spreadsheet would run it; numbers stay as they are.

    >>> quote_formula("=1+1"), quote_formula("-3.5"), quote_formula("- see note")
    ("'=1+1", '-3.5', "'- see note")
    """
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def unquote_formula(text: str) -> str:
    """Return the text without the apostrophe that `quote_formula` put before it.

    >>> unquote_formula("'=1+1"), unquote_formula("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if _QUOTED.match(text) else text


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
