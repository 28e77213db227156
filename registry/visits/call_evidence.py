"""What was read for a call: on its page, or at its visit. Other readings of the site are no evidence of it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from registry.baselines.models import Reading
from registry.engineering import diagnosis as plain
from registry.engineering.diagnosis_predict import ohm_shown
from registry.equipment.models import State
from registry.planning.models import LineMeasurement
from registry.visits.measured import LEVEL, as_corrected
from registry.visits.models import ServiceCall


@dataclass(frozen=True, slots=True)
class CallEvidence:
    """The newest level of each zone as found, and the newest impedance of each line, by their names."""

    levels: Mapping[str, Reading]
    impedances: Mapping[str, LineMeasurement]


@dataclass(frozen=True, slots=True)
class ShownReading:
    """One of them in words, and what the most probable fault would give there ("" where it wasn't weighed)."""

    where: str
    read: str
    taken_at: datetime
    expected: str


def read_for(call: ServiceCall) -> CallEvidence:
    """Return what was read for a call. Two queries, one more per correction of a correction."""
    levels = as_corrected(Reading.objects.filter(_of(call), state=State.AS_FOUND).select_related(*LEVEL))
    rows = LineMeasurement.objects.filter(_of(call), correction__isnull=True)
    rows = rows.exclude(impedance_ohm__isnull=True, is_open=False).select_related("line").order_by("taken_at", "pk")
    newest = sorted(levels, key=lambda row: (row.taken_at, row.pk))
    return CallEvidence({row.zone.name: row for row in newest}, {row.line.name: row for row in rows})


def _of(call: ServiceCall) -> Q:
    here = Q(callreading__call=call)
    return here | Q(visitreading__visit=call.visit_id) if call.visit_id else here


def ohm_of(row: LineMeasurement) -> float:
    """Return an impedance, inf for no continuity."""
    return math.inf if row.is_open else row.impedance_ohm or 0.0


def shown(read: CallEvidence, found: plain.Diagnosis | None) -> tuple[ShownReading, ...]:
    """Return everything that was read in words, in the order in which it was."""
    fits: dict[tuple[Any, str], plain.Fit] = {(fit.what, fit.where): fit for fit in (found.fits if found else ())}
    rows = [
        ShownReading(name, f"{row.level_db:.1f} dB(A)", row.taken_at, _expected(fits.get(("level", name))))
        for name, row in read.levels.items()
    ]
    rows += [
        ShownReading(name, ohm_shown(ohm_of(row)), row.taken_at, _expected(fits.get(("impedance", name))))
        for name, row in read.impedances.items()
    ]
    return tuple(sorted(rows, key=lambda each: each.taken_at))


def _expected(fit: plain.Fit | None) -> str:
    return fit.shown(fit.expected) if fit else ""
