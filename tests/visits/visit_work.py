"""A hall with one amplifier, one line of two loudspeakers and one zone, and a visit there: what these tests work on."""

import io
from datetime import timedelta
from typing import Any

from django.utils import timezone
from PIL import Image

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Zone
from registry.demo.factories import CoilFactory, FilledPlaceFactory, LineFactory, LoudspeakerFactory, ZoneFactory
from registry.demo.factories.visits import VisitFactory, VisitTaskFactory
from registry.visits.models import FollowUp, Severity, TaskKind, Visit
from registry.visits.working import begin_visit
from sites.models import Site, User

LEVEL: dict[str, Any] = {"level_db": 62.0, "background_db": 45.0, "dial": 50.0, "meter": "Meter A", "meter_class": "2"}
OHM: dict[str, Any] = {"impedance_ohm": 4.1, "frequency_hz": 1000.0, "is_open": False}
FINDING: dict[str, Any] = {"severity": Severity.DEGRADED, "says": "LS-1A rattles", "follow_up": FollowUp.NEXT_VISIT}
CLOSING: dict[str, Any] = {
    "outcome": "exceptions",
    "result": "The hall plays as agreed again.",
    "why_not": "No ladder for the ceiling.",
    "signature": "A. Tech",
    "accepted_by": "Manager on duty",
    "minutes": 75,
}


def picture(size: tuple[int, int] = (80, 60)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "red").save(out, "JPEG")
    return out.getvalue()


def hall_with_a_line(site: Site, number: int = 1) -> Line:
    """Two loudspeakers of 8 Ω in parallel: 4 Ω and a little cable."""
    place = FilledPlaceFactory(site=site, name=f"Amplifier {number}")
    zone = ZoneFactory(site=site, name=f"Hall {number}", spot="P1 by the door")
    line = LineFactory(site=site, name=f"L{number}", amplifier=place)
    for label in "AB":
        CoilFactory(line=line, loudspeaker=LoudspeakerFactory(site=site, label=f"LS-{number}{label}", zone=zone))
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    return line


def zone_of(line: Line) -> Zone:
    return Zone.objects.get(site=line.site, name=line.name.replace("L", "Hall "))


def visit_with_tasks(line: Line, by: User | None = None) -> Visit:
    """A visit with four tasks; begun half an hour ago when `by` says who began it."""
    visit: Visit = VisitFactory(site=line.site, starts_at=timezone.now() - timedelta(hours=1))
    zone = zone_of(line)
    VisitTaskFactory(visit=visit, kind=TaskKind.CONTROLS, zone=zone)
    VisitTaskFactory(visit=visit, kind=TaskKind.LEVELS, zone=zone)
    VisitTaskFactory(visit=visit, kind=TaskKind.IMPEDANCE, zone=None, line=line)
    VisitTaskFactory(visit=visit, kind=TaskKind.FIXINGS, zone=None)
    if by is None:
        return visit
    return begin_visit(by=by, visit=visit, at=timezone.now() - timedelta(minutes=30))
