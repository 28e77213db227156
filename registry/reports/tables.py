"""Tables as plain data, and as CSV; workbook.py makes XLSX of them. Both hold one row at a time in memory."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sites.quoting import quote_formula

# Spreadsheet programs read UTF-8 only behind this mark; without it they take the file for the machine's old code page.
MARK = "\ufeff"


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column's heading, and the unit of its numbers."""

    heading: str
    unit: str = ""

    def __str__(self) -> str:
        return f"{self.heading} ({self.unit})" if self.unit else self.heading


@dataclass(frozen=True, slots=True)
class Table:
    """One table: `rows` are read once, so they may come from a generator; None is an empty cell."""

    title: str
    columns: Sequence[TableColumn]
    rows: Iterable[Sequence[Any]]


def csv_lines(table: Table) -> Iterator[str]:
    """Yield the file line by line, headings first."""
    writer = csv.writer(_Passing())
    yield MARK
    yield writer.writerow([quote_formula(str(column)) for column in table.columns])
    for row in table.rows:
        yield writer.writerow([csv_text(value) for value in row])


def csv_text(value: Any) -> str:
    """Return a value as it stands in a cell: ISO 8601 dates and times, numbers plain, text never run as a formula.

    >>> csv_text(-9.5), csv_text(None), csv_text(True), csv_text(date(2026, 3, 12)), csv_text("=1+1")
    ('-9.5', '', 'yes', '2026-03-12', "'=1+1")
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return yes_no(value)
    if isinstance(value, datetime):
        return value.isoformat(timespec="microseconds" if value.microsecond else "seconds")
    return value.isoformat() if isinstance(value, date) else quote_formula(str(value))


def yes_no(value: bool) -> str:
    """Return the word for a truth in a cell, since the words of spreadsheets differ by language."""
    return "yes" if value else "no"


class _Passing:
    """Gives csv.writer's text back instead of storing it."""

    def write(self, text: str) -> str:
        return text
