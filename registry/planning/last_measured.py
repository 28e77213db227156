"""Lines that were not in order when they were last measured: a load that computes well may still be broken."""

from collections.abc import Iterable
from typing import Any, Final

from django.db.models import OuterRef, Q, QuerySet, Subquery

from registry.audio.models import Line, Verdict
from registry.engineering.wording import figure
from registry.planning.models import LineMeasurement, Polarity

BAD: Final = Q(verdict__in=[Verdict.FAIL, Verdict.WARN]) | Q(polarity=Polarity.REVERSED)


def not_in_order(lines: Iterable[Line]) -> dict[int, LineMeasurement]:
    """Return by line what its newest impedance, else its newest polarity, found wrong. One query."""
    wanted = Line.objects.filter(pk__in=[line.pk for line in lines])
    newest = Q(pk__in=_newest(wanted, Q(polarity=""))) | Q(pk__in=_newest(wanted, ~Q(polarity="")))
    rows = LineMeasurement.objects.filter(BAD, newest).select_related("line__site").order_by("-polarity", "line__name")
    return {row.line_id: row for row in rows}


def _newest(lines: QuerySet[Line], kind: Q) -> QuerySet[Line, Any]:
    newest = LineMeasurement.objects.filter(kind, line=OuterRef("pk"), correction__isnull=True)
    return lines.order_by().values_list(Subquery(newest.order_by("-taken_at", "-pk").values("pk")[:1]), flat=True)


def measured_words(row: LineMeasurement) -> str:
    """Return what was measured, in plain words.

    >>> measured_words(LineMeasurement(impedance_ohm=10.7, frequency_hz=1000, computed_ohm=8))
    '10.7 Ω instead of 8 Ω'
    """
    if row.polarity:
        return "polarity reversed at some loudspeakers"
    if row.is_open or row.impedance_ohm is None:
        return "no continuity: a cable, a terminal or every loudspeaker is open"
    computed = "" if row.computed_ohm is None else f" instead of {figure(row.computed_ohm)} Ω"
    return f"{figure(row.impedance_ohm)} Ω{computed}"
