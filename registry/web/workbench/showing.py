"""Figures as people read them, and an answer as scripts read it."""

import math
from typing import Any

from registry.engineering.unit_words import TARGETS
from registry.engineering.units import show_quantity
from registry.engineering.wording import figure
from registry.web.workbench.declaring import Answer, Calculation, Table, Value

NOT_KNOWN = "not known"
MILLIONS = {"byte": "MB", "bit/s": "Mbit/s"}
ALSO_IN_US = ("m", "mm", "m2", "kg", "degC")


def shown(value: Value, unit: str = "") -> str:
    """Return a figure with its unit; lengths, areas, weights and temperatures in US units too."""
    if value is None:
        return NOT_KNOWN
    if isinstance(value, str):
        return value
    if unit == "ohm" and value == math.inf:
        return "open"
    if math.isinf(value):
        return f"{'minus ' * (value < 0)}infinite"
    if unit == "dB":
        return f"{db(value)} dB"
    if unit in MILLIONS:
        return f"{figure(value / 1e6)} {MILLIONS[unit]}"
    if unit not in TARGETS:
        return f"{figure(value)} {unit}".rstrip()
    metric = _in_full(value, show_quantity(value, unit))
    return f"{metric} ({show_quantity(value, unit, 'us')})" if unit in ALSO_IN_US else metric


def _in_full(value: float, words: str) -> str:
    """A figure that four digits tell exactly is not rounded to three: 12.95 W of a standard stay 12.95 W."""
    digits, space, unit = words.partition("\u00a0")
    exact = f"{value:.4g}"
    return f"{exact}{space}{unit}" if 0 < float(exact) == value < 1000 and len(exact) > len(digits) else words


def db(value: float) -> str:
    """Return a level difference with two decimals and the true minus sign."""
    if math.isinf(value):
        return "−∞" if value < 0 else "∞"
    return f"{round(value, 2) + 0.0:.2f}".replace("-", "−")


def as_data(calculation: Calculation, answer: Answer, *, typed: dict[str, str]) -> dict[str, Any]:
    """Return an answer as plain values for JSON, figures unrounded."""
    return {
        "calculation": calculation.name,
        "inputs": typed,
        "says": answer.says,
        "verdict": answer.drift or answer.verdict,
        "results": {result.name: _plain(result.value) for result in answer.results},
        "units": {result.name: result.unit for result in answer.results if result.unit},
        "tables": {table.name: _rows(table) for table in answer.tables},
        "checks": [{"code": check.code, "verdict": check.verdict, "says": check.says} for check in answer.checks],
        "formula": [f"{term.name}: {term.text}" for term in answer.formula],
        "notes": [*calculation.notes, *answer.notes],
        "cautions": list(answer.cautions),
        "source": calculation.source,
    }


def _plain(value: Value) -> Value:
    """JSON knows no infinity: it is written as a word."""
    return shown(value) if isinstance(value, float) and not math.isfinite(value) else value


def _rows(table: Table) -> list[dict[str, Value]]:
    return [
        {column.name: _plain(value) for column, value in zip(table.columns, row, strict=True)} for row in table.rows
    ]
