"""The garden centre's visits: one closed with all that a report holds, one begun and interrupted."""

import io
from datetime import datetime, timedelta
from typing import Any, Final

from django.utils import timezone
from PIL import Image, ImageDraw

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Line, Zone
from registry.baselines.queries import newest_baselines
from registry.equipment.models import Place
from registry.visits.closing import add_addendum, close_visit
from registry.visits.finding import add_finding
from registry.visits.keeping import add_visit_photo, use_part
from registry.visits.models import FollowUp, Severity, TaskKind, TaskResult, Visit, VisitTask
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.scheduling import schedule_visit
from registry.visits.subjects import subjects_of
from registry.visits.working import begin_visit, record_task
from sites.models import Site, User

DIALS_FOUND: Final = ("70 %", "50 %", "35 %")
# As found this much above the agreed level; what is more than 2 dB off is set right and read again.
ABOVE_DB: Final = {"Plant house": 5.0}
NEARLY_DB: Final = 0.4
KINDS: Final = (
    TaskKind.CONTROLS,
    TaskKind.LEVELS,
    TaskKind.IMPEDANCE,
    TaskKind.FILTERS,
    TaskKind.CABLES,
    TaskKind.FIXINGS,
    TaskKind.LABELS,
)


def work_at_visits(site: Site, *, by: User) -> None:
    """Let a tech work through the yearly check two weeks ago, and begin a second look now."""
    begun = timezone.now() - timedelta(days=14, hours=3)
    visit = _begun(site, by, "Yearly check", begun)
    _answer(visit, by, begun)
    _find(visit, by, begun + timedelta(minutes=130))
    _close(visit, by, begun)
    again = _begun(site, by, "Second look at the rattle", timezone.now() - timedelta(minutes=20))
    dials = again.tasks.filter(kind=TaskKind.CONTROLS).first()
    if dials is not None:
        record_task(by=by, task=dials, found="60 %", left="50 %", result=TaskResult.DONE)


def _begun(site: Site, by: User, title: str, at: datetime) -> Visit:
    visit = schedule_visit(by=by, site=site, title=title, starts_at=at, minutes=150, tech=by)
    found = subjects_of(site)
    for kind in KINDS:
        for about in found.of(kind):
            VisitTask.objects.create(visit=visit, kind=kind, **about)
    return begin_visit(by=by, visit=visit, at=at)


def _answer(visit: Visit, by: User, begun: datetime) -> None:
    baseline = newest_baselines([visit.site_id]).get(visit.site_id)
    agreed = baseline.content["zones"] if baseline else {}
    for number, task in enumerate(visit.tasks.select_related("zone", "line", "rack")):
        at = begun + timedelta(minutes=5 + 3 * number)
        record_task(by=by, task=task, at=at, **_answered(visit, by, task, agreed, at))


def _answered(visit: Visit, by: User, task: VisitTask, agreed: dict[str, Any], at: datetime) -> dict[str, str]:
    if task.kind == TaskKind.CONTROLS:
        found = DIALS_FOUND[task.pk % len(DIALS_FOUND)]
        return {"result": TaskResult.DONE, "found": found, "left": "50 %" if found != "50 %" else ""}
    if task.kind == TaskKind.LEVELS and task.zone:
        return _read(visit, by, task.zone, agreed.get(task.zone.name) or {}, at)
    if task.kind == TaskKind.IMPEDANCE and task.line:
        values = {"impedance_ohm": _likely_ohm(task.line), "frequency_hz": 1000.0, "is_open": False}
        record_visit_measurement(by=by, visit=visit, line=task.line, values=values, at=at)
    if task.kind == TaskKind.FILTERS:
        return {"result": TaskResult.DONE, "found": "dust, half closed", "left": "cleaned"}
    if task.kind == TaskKind.FIXINGS:
        return {"result": TaskResult.NOT_DONE, "why_not": "no second person for the ladder"}
    return {"result": TaskResult.DONE}


def _read(visit: Visit, by: User, zone: Zone, agreed: dict[str, Any], at: datetime) -> dict[str, str]:
    """Read with the baseline's meter, spot and track, so that a small change can be told."""
    level_db = agreed.get("level_db")
    if level_db is None:
        return {"result": TaskResult.NOT_DONE, "why_not": "no level is agreed here yet"}
    same = {name: agreed[name] for name in ("meter", "meter_class", "track", "spot", "dial", "cap", "background_db")}
    readings = [("as found", ABOVE_DB[zone.name]), ("as left", NEARLY_DB)] if zone.name in ABOVE_DB else []
    for number, (state, above) in enumerate(readings or [("as found", NEARLY_DB)]):
        values = {**same, "level_db": round(level_db + above, 1)}
        when = at + timedelta(minutes=number)
        record_visit_reading(by=by, visit=visit, zone=zone, state=state, values=values, at=when)
    return {"result": TaskResult.DONE}


def _likely_ohm(line: Line) -> float:
    """A little above what is computed: joints."""
    wired = with_wiring(Line.objects.filter(pk=line.pk)).get()
    computed = load_of(wired).impedance_ohm if wired.coils.all() else None
    return round(1.05 * (computed or 8.0), 1)


def _find(visit: Visit, by: User, at: datetime) -> None:
    zone = Zone.objects.filter(site=visit.site, name="Houseplants").first()
    place = Place.objects.filter(site=visit.site).order_by("name").first()
    rattle = _finding(Severity.DEGRADED, "One loudspeaker by the pots rattles on low notes.", FollowUp.NEXT_VISIT)
    tray = "The cover of the cable tray above the café counter hangs by one screw."
    ours = _finding(Severity.COSMETIC, "The labels that we printed last time are too small.", FollowUp.PLANNED)
    first = add_finding(by=by, site=visit.site, visit=visit, values={**rattle, "zone_id": zone and zone.pk}, at=at)
    loose = _finding(Severity.HAZARDOUS, tray, FollowUp.IMMEDIATE)
    add_finding(by=by, site=visit.site, visit=visit, values=loose, at=at)
    internal = {**ours, "internal": True, "place_id": place and place.pk}
    add_finding(by=by, site=visit.site, visit=visit, values=internal, at=at)
    add_visit_photo(
        by=by, visit=visit, data=drawn_photo(), caption="The loudspeaker that rattles", finding=first, at=at
    )


def _finding(severity: Severity, says: str, follow_up: FollowUp) -> dict[str, Any]:
    return {"severity": severity, "says": says, "follow_up": follow_up}


def drawn_photo() -> bytes:
    """Return a picture of a loudspeaker in a ceiling, drawn in code: the demo has no photos of anything."""
    picture = Image.new("RGB", (960, 640), "#d8d4c8")
    pen = ImageDraw.Draw(picture)
    for at in range(0, 960, 160):
        pen.line((at, 0, at, 640), fill="#b8b4a8", width=4)
        pen.line((0, at, 960, at), fill="#b8b4a8", width=4)
    pen.ellipse((340, 180, 620, 460), fill="#efeee9", outline="#77736a", width=6)
    for ring in range(20, 130, 22):
        pen.ellipse((480 - ring, 320 - ring, 480 + ring, 320 + ring), outline="#9a968c", width=3)
    pen.line((600, 240, 660, 200), fill="#a11d21", width=8)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=85)
    return out.getvalue()


def _close(visit: Visit, by: User, begun: datetime) -> None:
    use_part(by=by, visit=visit, what="Filter mat, 300 × 300 mm", quantity=2, at=begun + timedelta(minutes=60))
    values = {
        "outcome": "exceptions",
        "result": "The music plays at the agreed level in every zone that has one; one loudspeaker rattles.",
        "why_not": "Ceiling fixings need a second person.",
        "signature": "Alex, tech",
        "accepted_by": "Manager on duty",
        "minutes": 165,
    }
    closed = close_visit(by=by, visit=visit, values=values, at=begun + timedelta(minutes=165))
    says = "The owner had the cover of the cable tray fastened by an electrician the next day."
    add_addendum(by=by, visit=closed, says=says, at=begun + timedelta(days=1))
