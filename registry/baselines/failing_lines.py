"""Lines whose load fails in a baseline or now: nobody switches them on before somebody decides."""

from typing import NamedTuple

from registry.audio.models import Line, Verdict
from registry.baselines.models import Baseline


class FailingLine(NamedTuple):
    """A line whose load fails, with the place that drives it and a zone that hears it; no zone where none does."""

    name: str
    place: str
    zone: str | None


def failing_lines(baseline: Baseline) -> list[FailingLine]:
    """Return the lines whose load fails in the baseline or now, once for each zone, in a stable order. One query."""
    frozen = [
        FailingLine(name, line["amplifier"], zone)
        for name, line in baseline.content["lines"].items()
        if line["verdict"] == Verdict.FAIL
        for zone in (line["zones"] or [None])
    ]
    columns = ("name", "amplifier__name", "coils__loudspeaker__zone__name")
    now = Line.objects.filter(site=baseline.site_id, verdict=Verdict.FAIL).values_list(*columns)
    return sorted({*frozen, *(FailingLine(*row) for row in now)}, key=str)
