"""Tables as one XLSX workbook, a sheet each: text stays text, numbers are numbers, dates are dates."""

import math
import re
import tempfile
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from registry.reports.tables import Table, yes_no

CONTENT_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOST_ROWS = (
    1_048_576  # of one sheet, headings included; with the next two from memory, as spreadsheet programs hold them
)
MOST_SIGNS = 32_767  # in one cell
MOST_TITLE = 31
FIRST_YEAR = 1901  # a day before 1900 has no number in a workbook, and 1900 is counted as a leap year
WIDTHS = (10, 48)
_FORBIDDEN_IN_TITLE = re.compile(r"[\[\]:*?/\\\x00-\x1f]|^'|'$")
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, production 2
_READ_AS_A_SIGN = re.compile("_(?=x[0-9A-Fa-f]{4}_)")  # ECMA-376 part 1, 22.9.2.19: _x0041_ is read as A


def xlsx_file(tables: Iterable[Table]) -> IO[bytes]:
    """Return a workbook with one sheet per table, in a temporary file that vanishes when it is closed.

    Raises ValueError for no table at all, and for one that is longer than a sheet.
    """
    workbook = Workbook(write_only=True)
    file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 (whoever reads it closes it)
    try:
        for table in tables:
            _add_sheet(workbook, table)
        if not workbook.worksheets:
            raise ValueError("a workbook needs at least one table")
    except BaseException:
        with file:
            workbook.save(file)  # this is how openpyxl removes the temporary files of its sheets
        raise
    workbook.save(file)
    file.seek(0)
    return file


def _add_sheet(workbook: Workbook, table: Table) -> None:
    sheet = workbook.create_sheet(_sheet_title(table.title, workbook.sheetnames))
    # Widths and the fixed first row have to stand in the file before the rows.
    sheet.freeze_panes = "A2"
    for number, column in enumerate(table.columns, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = min(max(WIDTHS[0], len(str(column)) + 3), WIDTHS[1])
    sheet.append([_heading(sheet, str(column)) for column in table.columns])
    last = 1
    for last, row in enumerate(table.rows, start=2):
        if last > MOST_ROWS:
            raise ValueError(f"{table.title}: a sheet holds {MOST_ROWS} rows; narrow the list, or take it as CSV")
        sheet.append([_cell(sheet, value) for value in row])
    sheet.auto_filter.ref = f"A1:{get_column_letter(max(1, len(table.columns)))}{last}"


def _sheet_title(title: str, taken: Sequence[str]) -> str:
    """Return a title that a sheet may have, and no other sheet has."""
    plain = _FORBIDDEN_IN_TITLE.sub(" ", title).strip()[:MOST_TITLE] or "Sheet"
    found, number, lower = plain, 1, {each.lower() for each in taken}
    while found.lower() in lower:
        number += 1
        found = f"{plain[: MOST_TITLE - len(str(number)) - 1]} {number}"
    return found


def _heading(sheet: Any, words: str) -> Cell:
    cell = _text(sheet, words)
    cell.font, cell.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
    return cell


def _cell(sheet: Any, value: Any) -> Cell | None:
    if value is None or value == "":
        return None
    if isinstance(value, bool):
        return _text(sheet, yes_no(value))
    if isinstance(value, int | float | Decimal) and math.isfinite(value):
        return WriteOnlyCell(sheet, value)
    if isinstance(value, date):
        return _day(sheet, value) if value.year >= FIRST_YEAR else _text(sheet, value.isoformat())
    return _text(sheet, str(value))


def _day(sheet: Any, value: date) -> Cell:
    """Return a day or a time; a workbook knows no time zones, so a time stands as the clock that it was given in."""
    if isinstance(value, datetime):
        cell = WriteOnlyCell(sheet, value.replace(tzinfo=None, microsecond=0))
        cell.number_format = "yyyy-mm-dd hh:mm:ss"
    else:
        cell = WriteOnlyCell(sheet, value)
        cell.number_format = "yyyy-mm-dd"
    return cell


def _text(sheet: Any, text: str) -> Cell:
    """Return text that is never a formula, never an error value, and always legal XML."""
    one_break = text.replace("\r\n", "\n").replace("\r", "\n")
    legal = _READ_AS_A_SIGN.sub("_x005F_", _NOT_XML.sub("\ufffd", one_break))
    cell = WriteOnlyCell(sheet, legal if len(legal) <= MOST_SIGNS else f"{legal[: MOST_SIGNS - 1]}…")
    cell.data_type = "s"
    return cell
