"""What was measured at a line over time, each impedance beside the one before at the same test frequency."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.audio.models import Line
from registry.planning.commissioning_queries import measurements_of
from registry.planning.impedance import change_since
from registry.planning.models import LineMeasurement


@dataclass(frozen=True, slots=True)
class MeasurementRow:
    """One measurement; `change` is empty where there is nothing to compare it with."""

    measurement: LineMeasurement
    change: str
    corrected: bool


def measurement_rows(line: Line) -> list[MeasurementRow]:
    """Return the measurements of a line, the newest first. One query."""
    rows = list(measurements_of(line))
    counting = [row for row in rows if row.corrected_by() is None]
    return [MeasurementRow(row, _change(row, counting), row.corrected_by() is not None) for row in rows]


def _change(row: LineMeasurement, counting: Iterable[LineMeasurement]) -> str:
    if not row.impedance_ohm or row.corrected_by() is not None:
        return ""
    earlier = [
        before
        for before in counting
        if (before.taken_at, before.pk) < (row.taken_at, row.pk) and before.frequency_hz == row.frequency_hz
    ]
    before = next((before for before in earlier if before.impedance_ohm), None)
    return change_since(row.impedance_ohm, before.impedance_ohm) if before and before.impedance_ohm else ""
