"""Cells that a spreadsheet would run as a formula come with an apostrophe; numbers stay numbers."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from registry.web.csv_export import csv_text


@pytest.mark.parametrize(
    "text", ["=1+1", "+1 (0)20", "-cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "－1-1", "-1e", "+-1"]
)
def test_text_that_begins_a_formula_is_kept_from_running(text: str) -> None:
    assert csv_text(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-9.5", "+3", "-1e-7", "0", "12 V", "Bar = loud", "", "'=1", "2-1"])
def test_numbers_and_plain_text_stay_as_they_are(text: str) -> None:
    assert csv_text(text) == text


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
    ],
)
def test_values_are_written_plainly(value: Any, text: str) -> None:
    assert csv_text(value) == text
