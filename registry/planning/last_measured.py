"""Lines that were not in order when they were last measured: a load that computes well may still be broken."""

from collections.abc import Iterable
from typing import Any, Final

from django.db.models import FilteredRelation, OuterRef, Q, QuerySet, Subquery

from registry.audio.models import Line, Verdict
from registry.engineering.wording import figure
from registry.planning.models import LineMeasurement, Polarity

BAD: Final = Q(verdict__in=[Verdict.FAIL, Verdict.WARN]) | Q(polarity=Polarity.REVERSED)


def not_in_order(lines: Iterable[Line]) -> dict[int, LineMeasurement]:
    """Return by line what its newest impedance, else its newest polarity, found wrong. One query."""
    rows = _wrong(Line.objects.filter(pk__in=[line.pk for line in lines])).select_related("line__site")
    return {row.line_id: row for row in rows.order_by("-polarity", "line__name")}


def with_wrong(lines: QuerySet[Any]) -> QuerySet[Any]:
    """Join to lines as `wrong` what their newest impedance, and what their newest polarity found wrong.

    A line comes twice where both did.
    """
    wrong = Q(measurements__pk__in=Subquery(_wrong(lines).values("pk")))
    joined: QuerySet[Any] = lines.annotate(wrong=FilteredRelation("measurements", condition=wrong))
    return joined.select_related("wrong")


def wrong_at(lines: Iterable[Any]) -> dict[int, LineMeasurement]:
    """Return what `not_in_order` returns, of lines that came through `with_wrong`."""
    found = [line for line in lines if hasattr(line, "wrong")]
    return {line.pk: line.wrong for line in sorted(found, key=lambda line: (not line.wrong.polarity, line.name))}


def _wrong(lines: QuerySet[Line]) -> QuerySet[LineMeasurement]:
    newest = Q(pk__in=_newest(lines, Q(polarity=""))) | Q(pk__in=_newest(lines, ~Q(polarity="")))
    return LineMeasurement.objects.filter(BAD, newest).order_by()


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
