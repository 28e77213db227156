"""A closed visit stays as it is: every action refuses, and what follows later is seen only outside of it."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.serializers import serialize
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.actions import correct_reading
from registry.visits import closing, finding, keeping, reading, working
from registry.visits.closing import add_addendum, close_visit
from registry.visits.finding import add_finding, close_finding, edit_finding
from registry.visits.keeping import add_visit_photo, correct_part, use_part
from registry.visits.models import Addendum, Finding, PartUsed, Visit, VisitPhoto, VisitReading, VisitTask
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.scheduling import call_off_visit, move_visit
from registry.visits.working import begin_visit, record_minutes, record_task
from sites.models import User
from sites.put import RefusedError
from tests.visits.visit_work import CLOSING, FINDING, LEVEL, OHM, picture

WRITES: dict[str, Callable[[Visit, User], Any]] = {
    "begin_visit": lambda visit, by: begin_visit(by=by, visit=visit),
    "record_task": lambda visit, by: record_task(by=by, task=visit.tasks.first(), found="loose", result="wrong"),
    "record_minutes": lambda visit, by: record_minutes(by=by, visit=visit, minutes=5),
    "record_visit_reading": lambda visit, by: record_visit_reading(
        by=by, visit=visit, zone=visit.site.zones.get(), state="as left", values=LEVEL
    ),
    "record_visit_measurement": lambda visit, by: record_visit_measurement(
        by=by, visit=visit, line=visit.site.lines.get(), values=OHM, corrects=True
    ),
    "add_finding": lambda visit, by: add_finding(by=by, site=visit.site, visit=visit, values=FINDING),
    "edit_finding": lambda visit, by: edit_finding(by=by, finding=visit.findings.get(), values={"says": "It hums"}),
    "close_finding": lambda visit, by: close_finding(
        by=by, finding=visit.findings.get(), visit=visit, done="Fastened it"
    ),
    "add_visit_photo": lambda visit, by: add_visit_photo(by=by, visit=visit, data=picture()),
    "use_part": lambda visit, by: use_part(by=by, visit=visit, what="Fuse"),
    "correct_part": lambda visit, by: correct_part(by=by, part=visit.parts.get(), what="Fuse", quantity=9),
    "close_visit": lambda visit, by: close_visit(by=by, visit=visit, values=CLOSING),
    "move_visit": lambda visit, by: move_visit(by=by, visit=visit, starts_at=timezone.now(), minutes=30, tech=by),
    "call_off_visit": lambda visit, by: call_off_visit(by=by, visit=visit, reason="rain"),
}
# What may still be done to a finding of a closed visit: plan, do and undo the follow-up, outside of that visit.
LATER = {"reopen_finding", "add_addendum"}


@pytest.fixture
def closed(visit: Visit, zone: Zone, line: Line, tech: User) -> Visit:
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)
    record_visit_measurement(by=tech, visit=visit, line=line, values=OHM)
    record_task(by=tech, task=visit.tasks.all()[0], found="30 %", left="50 %", result="done")
    add_finding(by=tech, site=visit.site, visit=visit, values=FINDING)
    use_part(by=tech, visit=visit, what="Fuse", quantity=2)
    add_visit_photo(by=tech, visit=visit, data=picture())
    return close_visit(by=tech, visit=visit, values=CLOSING)


def _rows(visit: Visit) -> list[str]:
    tables = (VisitTask, VisitReading, VisitPhoto, PartUsed, Finding)
    rows = [serialize("json", table.objects.filter(visit=visit).order_by("pk")) for table in tables]
    return [serialize("json", Visit.objects.filter(pk=visit.pk)), *rows]


def test_the_table_names_every_action_of_a_visit() -> None:
    known = {
        name
        for module in (working, reading, finding, keeping, closing)
        for name, found in vars(module).items()
        if callable(found) and "by" in getattr(found, "__annotations__", {}) and found.__module__ == module.__name__
        if not name.startswith("_")
    }
    assert known - LATER <= WRITES.keys()


@pytest.mark.parametrize("name", WRITES)
def test_no_action_changes_a_closed_visit(name: str, closed: Visit, other: User) -> None:
    before = _rows(closed)
    with pytest.raises(ValueError, match=r"closed this visit on .*addendum|begun|signed"):
        WRITES[name](closed, other)
    assert _rows(closed) == before


def test_a_finding_of_a_closed_visit_is_still_planned_and_done_but_says_what_it_said(
    closed: Visit, other: User
) -> None:
    found = closed.findings.get()
    edit_finding(by=other, finding=found, values=FINDING | {"follow_up": "planned"})
    with pytest.raises(RefusedError, match="report signed"):
        edit_finding(by=other, finding=found, values={"severity": "cosmetic"})
    done = close_finding(by=other, finding=found, done="Fastened it")
    assert (done.follow_up, done.says, done.closed_visit) == ("planned", FINDING["says"], None)
    with pytest.raises(ValueError, match=r"other closed this finding on .* \(Fastened it\)"):
        close_finding(by=other, finding=found, done="Replaced it")


def test_an_addendum_is_for_closed_visits_and_a_reading_is_corrected_by_its_own_way(
    closed: Visit, visit: Visit, tech: User, other: User
) -> None:
    made = add_addendum(by=other, visit=closed, says=" The owner called back. ")
    assert list(Addendum.objects.values_list("visit", "says")) == [(closed.pk, "The owner called back.")]
    assert made.written_by == other
    original = VisitReading.objects.filter(reading__isnull=False).get().reading
    assert original is not None
    correct_reading(by=other, reading=original, values={"level_db": 65.0})
    assert closed.readings.count() == 2
    open_visit = Visit.objects.create(site=closed.site, title="Next", starts_at=timezone.now())
    with pytest.raises(ValueError, match="still open"):
        add_addendum(by=other, visit=open_visit, says="x")
