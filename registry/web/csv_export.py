"""CSV that a spreadsheet opens as it was written: UTF-8, and no cell that it would run as a formula."""

import csv
import re
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any

from django.http import StreamingHttpResponse
from django.utils.text import slugify

NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?")
# A spreadsheet takes a cell that begins with one of these (and their wide forms) for a formula.
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_text(value: Any) -> str:
    """Return a value as it stands in a CSV cell; text that a spreadsheet would run gets a leading apostrophe."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime | date):
        return value.isoformat()
    text = str(value)
    return f"'{text}" if text.startswith(STARTS_A_FORMULA) and not NUMBER.fullmatch(text) else text


class _Passing:
    """Gives csv.writer's text back instead of storing it."""

    def write(self, text: str) -> str:
        return text


def csv_response(rows: Iterable[Iterable[Any]], *, name: str) -> StreamingHttpResponse:
    """Return the rows as a download, sent as they come."""
    writer = csv.writer(_Passing())

    def lines() -> Iterator[str]:
        # Spreadsheets read UTF-8 only behind this mark.
        yield "\ufeff"
        for row in rows:
            yield writer.writerow([csv_text(value) for value in row])

    response = StreamingHttpResponse(lines(), content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{slugify(name)}.csv"'
    return response
