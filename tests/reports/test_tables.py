"""Tables as CSV and XLSX, read back by the csv module, openpyxl's reader and a plain XML parser."""

import csv
import io
import re
import tracemalloc
import zipfile
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.worksheet._writer import ALL_TEMP_FILES

from registry.reports import workbook
from registry.reports.tables import MARK, Table, TableColumn, csv_lines, csv_text
from registry.reports.workbook import xlsx_file
from sites.quoting import unquote_formula

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
COLUMNS = (TableColumn("Name"), TableColumn("Weight", "kg"))
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
formulas = st.builds(
    "{}{}".format, st.sampled_from(["=", "+", "-", "@", "\t=", "\r", "\n", "'=", "＝", "#N/A", "=#"]), texts
)


def one_column(*values: Any, title: str = "Things") -> Table:
    return Table(title, COLUMNS[:1], [[value] for value in values])


def from_csv(table: Table) -> list[list[str]]:
    text = "".join(csv_lines(table)).removeprefix(MARK)
    return list(csv.reader(io.StringIO(text, newline="")))


def sheets_xml(*tables: Table) -> list[ElementTree.Element]:
    with xlsx_file(tables) as file, zipfile.ZipFile(file) as parts:
        names = [name for name in parts.namelist() if name.startswith("xl/worksheets/")]
        return [ElementTree.fromstring(parts.read(name)) for name in names]


def shown_in_xlsx(table: Table) -> list[str]:
    """Return the text of the first column as ECMA-376 reads it: inline strings, with _x0041_ for a sign."""
    (sheet,) = sheets_xml(table)
    cells = [row.find(f"{MAIN}c") for row in sheet.iter(f"{MAIN}row")][1:]
    words = ["" if cell is None else "".join(cell.itertext()) for cell in cells]
    return [re.sub("_x([0-9A-Fa-f]{4})_", lambda found: chr(int(found[1], 16)), each) for each in words]


@given(st.lists(texts | formulas, min_size=1, max_size=8))
def test_no_text_runs_in_csv_and_all_of_it_comes_back(values: list[str]) -> None:
    cells = [row[0] if row else "" for row in from_csv(one_column(*values))[1:]]
    assert [unquote_formula(cell) for cell in cells] == values
    assert not [cell for cell in cells if re.match(r"[=@\t\r\n＝＋－＠]|[+-](?![0-9.]+([eE][+-]?[0-9]+)?$)", cell)]


@given(st.lists(texts | formulas, min_size=1, max_size=8))
def test_no_text_runs_in_xlsx_and_all_of_it_comes_back(values: list[str]) -> None:
    table = one_column(*values)
    (sheet,) = sheets_xml(table)
    assert not list(sheet.iter(f"{MAIN}f"))
    assert {cell.get("t") for cell in sheet.iter(f"{MAIN}c")} <= {"inlineStr"}
    unbroken = [value.replace("\r\n", "\n").replace("\r", "\n") for value in values]
    wanted = [re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", "\ufffd", value) for value in unbroken]
    assert shown_in_xlsx(table) == wanted


def test_text_that_looks_like_an_escape_is_shown_as_it_was() -> None:
    assert shown_in_xlsx(one_column("rack_x0041_1")) == ["rack_x0041_1"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (-9.5, "-9.5"),
        (0, "0"),
        (True, "yes"),
        (False, "no"),
        (date(2026, 3, 12), "2026-03-12"),
        (datetime(2026, 3, 12, 8, 5, tzinfo=UTC), "2026-03-12T08:05:00+00:00"),
        ("+1 (0)20", "'+1 (0)20"),
        ("-1e-7", "-1e-7"),
        ("12 V", "12 V"),
        ("2-1", "2-1"),
    ],
)
def test_values_are_written_plainly_in_csv(value: Any, text: str) -> None:
    assert csv_text(value) == text


def test_numbers_are_numbers_and_dates_are_dates_in_xlsx() -> None:
    day, time = date(2026, 3, 12), datetime(2026, 3, 12, 8, 5, tzinfo=UTC)
    values = [-9.5, 0, Decimal("2.50"), day, time, True, "-9.5", float("nan"), date(1899, 1, 1)]
    with xlsx_file([one_column(*values)]) as file:
        sheet = load_workbook(file)["Things"]
    cells = [row[0] for row in sheet.iter_rows(min_row=2)]
    assert [cell.value for cell in cells] == [
        *(-9.5, 0, 2.5, datetime(2026, 3, 12), datetime(2026, 3, 12, 8, 5)),  # noqa: DTZ001 (as openpyxl reads it)
        *("yes", "-9.5", "nan", "1899-01-01"),
    ]
    assert [cell.data_type for cell in cells] == list("nnnddssss")
    assert [cell.number_format for cell in cells[3:5]] == ["yyyy-mm-dd", "yyyy-mm-dd hh:mm:ss"]


def test_headings_say_the_unit_and_stay_in_sight() -> None:
    table = Table("Models", COLUMNS, [["M 1", 2.5], ["M 2", None]])
    assert from_csv(table) == [["Name", "Weight (kg)"], ["M 1", "2.5"], ["M 2", ""]]
    with xlsx_file([table]) as file:
        sheet = load_workbook(file)["Models"]
    assert list(sheet.values) == [("Name", "Weight (kg)"), ("M 1", 2.5), ("M 2", None)]
    assert (sheet.freeze_panes, sheet.auto_filter.ref, sheet["A1"].font.bold) == ("A2", "A1:B3", True)


def test_every_table_has_a_sheet_with_a_title_that_a_sheet_may_have() -> None:
    titles = ["Lines: bar/café [1]?", "'x'", "", "a" * 40, "A" * 40, "a" * 31]
    with xlsx_file([one_column("x", title=title) for title in titles]) as file:
        names = load_workbook(file).sheetnames
    assert names == ["Lines  bar café  1", "x", "Sheet", "a" * 31, "A" * 29 + " 2", "a" * 29 + " 3"]


def test_what_no_workbook_holds_is_refused_or_cut_where_it_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(ValueError, match="at least one table"):
        xlsx_file([])
    assert shown_in_xlsx(one_column("x" * 40_000)) == ["x" * 32_766 + "…"]
    monkeypatch.setattr(workbook, "MOST_ROWS", 3)
    assert shown_in_xlsx(one_column("a", "b")) == ["a", "b"]
    before = set(ALL_TEMP_FILES)
    with pytest.raises(ValueError, match="narrow the list"):
        xlsx_file([one_column("a"), one_column("a", "b", "c")])
    assert set(ALL_TEMP_FILES) == before


def written_as_csv(table: Table) -> None:
    for _ in csv_lines(table):
        pass


def written_as_xlsx(table: Table) -> None:
    with xlsx_file([table]) as file:
        while file.read(4096):
            pass


def rows(number: int) -> Iterator[list[Any]]:
    for at in range(number):
        yield [f"NH-{at:06d} in the bar", at / 10]


def peak_bytes(write: Callable[[Table], None], number: int) -> int:
    tracemalloc.start()
    write(Table("Items", COLUMNS, rows(number)))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


@pytest.mark.parametrize("write", [written_as_csv, written_as_xlsx])
def test_ten_times_the_rows_take_no_more_memory(write: Callable[[Table], None]) -> None:
    peak_bytes(write, 10)  # what is imported and cached at the first use
    assert peak_bytes(write, 20_000) < 1.5 * peak_bytes(write, 2_000)
