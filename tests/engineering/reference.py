"""The reference tables of tests/reference, read by row, so that a source stands beside every check."""

import csv
import functools
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).resolve().parent.parent / "reference"

# Every row that a test module asked for when it was imported; test_reference_rows.py compares it with the tables.
USED: set[str] = set()

# Rows of use "check", "bound" or "trap" that no test asks for, and why.
WHY_UNUSED: dict[str, str] = {}


@dataclass(frozen=True)
class Row:
    """One published, derived or remembered figure with its tolerance and its source."""

    id: str
    file: str
    quantity: str
    inputs: dict[str, Any]
    expected: Any
    unit: str
    tol: float
    tol_kind: str
    use: str
    basis: str
    source: str
    note: str

    def says(self, value: object) -> str:
        """What a failing check prints: the figure got, the figure wanted, and who says so."""
        wanted = f"{self.expected} {self.unit} within {self.tol} {self.tol_kind}"
        source = f"Source ({self.basis}): {self.source}"
        return f"{self.id} {self.quantity} {self.inputs}: got {value}, wanted {wanted}. {source}"


@functools.cache
def table(file: str) -> tuple[Row, ...]:
    """All rows of one table; the name goes without .csv."""
    with (FOLDER / f"{file}.csv").open(encoding="utf-8", newline="") as stream:
        return tuple(_row(file, record) for record in csv.DictReader(stream))


def _row(file: str, record: dict[str, str]) -> Row:
    return Row(
        id=record["id"],
        file=file,
        quantity=record["quantity"],
        inputs=json.loads(record["inputs"]),
        expected=_expected(record["expected"]),
        unit=record["unit"],
        tol=float(record["tol"] or 0),
        tol_kind=record["tol_kind"],
        use=record["use"],
        basis=record["basis"],
        source=record["source"],
        note=record["note"],
    )


def _expected(text: str) -> Any:
    """A number, a list or null is JSON; anything else is plain text."""
    try:
        return json.loads(text)
    except json.JSONDecodeError:
        return text


def rows(file: str, quantity: str | Sequence[str] | None = None, use: str = "check") -> list[Row]:
    """Rows of one table, of one quantity (or several), of one use; asking marks them as used."""
    wanted = (quantity,) if isinstance(quantity, str) else quantity
    found = [row for row in table(file) if row.use == use and (wanted is None or row.quantity in wanted)]
    if not found:
        raise LookupError(f"{file}.csv has no {use} row of {quantity}")
    USED.update(row.id for row in found)
    return found


def each(file: str, *quantities: str, use: str = "check") -> pytest.MarkDecorator:
    """Run the test once for each such row, as its argument `row`, under the id of the row."""
    return pytest.mark.parametrize("row", [pytest.param(r, id=r.id) for r in rows(file, quantities or None, use)])


def matches(row: Row, value: Any) -> bool:
    """Whether the value is the row's figure within its tolerance (each element of a list)."""
    if isinstance(row.expected, list):
        return len(value) == len(row.expected) and all(
            _near(row, v, e) for v, e in zip(value, row.expected, strict=True)
        )
    return _near(row, value, row.expected)


def _near(row: Row, value: Any, expected: Any) -> bool:
    if not isinstance(expected, int | float) or isinstance(expected, bool):
        return bool(value == expected)
    if row.tol_kind not in ("abs", "rel", "exact"):
        raise ValueError(f"{row.id} has no tolerance: it is for information, not for a check")
    room = {"abs": row.tol, "rel": row.tol * abs(expected), "exact": 0.0}[row.tol_kind]
    # The last term is the rounding of binary fractions, so that 0.1 + 0.2 is exactly 0.3.
    return abs(value - expected) <= room + 1e-12 * max(1.0, abs(expected))


def close(row: Row, value: Any) -> bool:
    """Assert that the value is the row's figure within its tolerance; the message names the source."""
    assert matches(row, value), row.says(value)
    return True
