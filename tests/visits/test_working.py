"""Work at a visit: begin, tasks as found and left, levels, impedances, findings, parts, closing."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.models import Reading
from registry.demo.factories import BaselineFactory, LineFactory, ReadingFactory, ZoneFactory
from registry.planning.models import LineMeasurement
from registry.visits.closing import close_visit, unfinished
from registry.visits.finding import add_finding, close_finding, edit_finding, reopen_finding
from registry.visits.keeping import add_visit_photo, correct_part, use_part
from registry.visits.measured import baseline_at, measured_at, zones_at
from registry.visits.models import TaskKind, Visit, VisitTask
from registry.visits.queries import parts_of
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.working import begin_visit, record_task
from sites.models import User, YesNoUnknown
from sites.put import RefusedError
from sites.versions import ChangedMeanwhileError, version_of
from tests.visits.visit_work import CLOSING, FINDING, LEVEL, OHM, picture, visit_with_tasks


def _task(visit: Visit, kind: TaskKind) -> VisitTask:
    return visit.tasks.get(kind=kind)


def test_nothing_is_recorded_before_a_visit_begins_and_beginning_twice_is_beginning_once(
    line: Line, tech: User, other: User
) -> None:
    visit = visit_with_tasks(line)
    with pytest.raises(ValueError, match="not begun"):
        record_task(by=tech, task=_task(visit, TaskKind.CONTROLS), result="done")
    begun = begin_visit(by=tech, visit=visit)
    again = begin_visit(by=other, visit=visit)
    assert (again.begun_at, again.begun_by, again.tech) == (begun.begun_at, tech, tech)


def test_as_found_is_locked_once_as_left_is_given(visit: Visit, tech: User) -> None:
    task = _task(visit, TaskKind.CONTROLS)
    record_task(by=tech, task=task, found="30 %")
    record_task(by=tech, task=task, found="35 %")
    record_task(by=tech, task=task, found="35 %", left="50 %", result="done")
    with pytest.raises(RefusedError, match=r"As found is locked .*“35 %”"):
        record_task(by=tech, task=task, found="50 %", left="50 %", result="done")
    changed = record_task(by=tech, task=task, found="35 %", left="55 %", result="wrong")
    assert (changed.found, changed.left, changed.result) == ("35 %", "55 %", "wrong")


def test_of_two_techs_the_second_is_told_who_changed_the_task(visit: Visit, tech: User, other: User) -> None:
    task = _task(visit, TaskKind.CONTROLS)
    seen = version_of(task)
    record_task(by=tech, task=task, found="30 %", version=seen)
    with pytest.raises(ChangedMeanwhileError, match="tech changed"):
        record_task(by=other, task=task, found="40 %", version=seen)
    # The same answer sent again (a queue whose answer was lost) is nobody's loss.
    assert record_task(by=tech, task=task, found="30 %", version=seen).found == "30 %"
    assert task.history.count() == 2


@pytest.mark.parametrize(
    ("answer", "field"),
    [
        ({"result": "not done"}, "why_not"),
        ({"result": "done", "why_not": "no ladder"}, "why_not"),
        ({"result": "perfect"}, "result"),
    ],
)
def test_an_answer_that_contradicts_itself_is_refused_beside_its_field(
    answer: dict[str, str], field: str, visit: Visit, tech: User
) -> None:
    with pytest.raises(RefusedError) as refused:
        record_task(by=tech, task=_task(visit, TaskKind.CONTROLS), **answer)
    assert [problem.field for problem in refused.value.problems] == [field]


@pytest.mark.parametrize("kind", [TaskKind.LEVELS, TaskKind.IMPEDANCE])
def test_a_measurement_is_not_done_without_one(
    kind: TaskKind, visit: Visit, zone: Zone, line: Line, tech: User
) -> None:
    with pytest.raises(RefusedError, match="Measure first"):
        record_task(by=tech, task=_task(visit, kind), result="done")
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)
    record_visit_measurement(by=tech, visit=visit, line=line, values=OHM)
    assert record_task(by=tech, task=_task(visit, kind), result="done").result == "done"


def test_a_level_is_judged_against_the_baseline_that_held_when_the_visit_began(
    zone: Zone, line: Line, tech: User
) -> None:
    ReadingFactory(zone=zone, level_db=60.0, background_db=40.0)
    first = BaselineFactory(site=zone.site)
    visit = visit_with_tasks(line, tech)
    visit.begun_at = timezone.now()
    visit.save()
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL | {"level_db": 66.0})
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as left", values=LEVEL | {"level_db": 60.2})
    BaselineFactory(site=zone.site)
    used = baseline_at(visit)
    assert used == first
    at_visit = zones_at(measured_at(visit).levels, used)[zone.pk]
    assert at_visit.found is not None and at_visit.left is not None
    assert at_visit.found.drift.verdict == "out"
    assert round(at_visit.left.drift.drift_db or 9.0, 1) == 0.2  # 60.2 against 60.0, background far below
    assert not at_visit.is_out


def test_as_found_after_as_left_is_refused_and_the_same_reading_again_is_one(
    visit: Visit, zone: Zone, tech: User
) -> None:
    at = timezone.now() - timedelta(minutes=5)
    for _ in range(2):
        record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL, at=at)
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as left", values=LEVEL)
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL, at=at)
    assert (visit.readings.count(), Reading.objects.count()) == (2, 2)
    with pytest.raises(RefusedError, match="As found is locked"):
        record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)


@pytest.mark.parametrize(
    ("shift", "says"), [(timedelta(minutes=6), "in the future"), (timedelta(hours=-14), "long before this visit began")]
)
def test_a_phone_whose_clock_is_wrong_is_refused(
    shift: timedelta, says: str, visit: Visit, zone: Zone, tech: User
) -> None:
    at = timezone.now() + shift
    with pytest.raises(ValueError, match=says):
        record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL, at=at)
    with pytest.raises(ValueError, match=says):
        record_task(by=tech, task=_task(visit, TaskKind.FIXINGS), result="done", at=at)
    assert not visit.readings.exists()


def test_what_happened_earlier_is_kept_beside_when_it_was_received(visit: Visit, zone: Zone, tech: User) -> None:
    at = timezone.now() - timedelta(minutes=20)
    task = record_task(by=tech, task=_task(visit, TaskKind.FIXINGS), result="done", at=at)
    reading = record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL, at=at)
    assert task.done_at == at and task.changed_at is not None and task.changed_at > at
    assert reading.taken_at == at and reading.recorded_at > at


def test_an_impedance_is_judged_as_in_commissioning_and_a_wrong_one_corrected(
    visit: Visit, line: Line, tech: User
) -> None:
    first = record_visit_measurement(by=tech, visit=visit, line=line, values=OHM | {"impedance_ohm": 8.1})
    # Ohm's law: one of two equal parallel loudspeakers lost doubles the impedance.
    assert (first.verdict, "1 of 2 loudspeakers lost" in first.says) == ("warn", True)
    again = record_visit_measurement(by=tech, visit=visit, line=line, values=OHM, corrects=True)
    assert (again.replaces, again.verdict) == (first, "pass")
    assert LineMeasurement.objects.filter(visitreading__visit=visit, correction__isnull=True).get() == again


def test_life_safety_keeps_hands_off_a_line_and_its_neighbours(visit: Visit, line: Line, tech: User) -> None:
    LineFactory(site=line.site, amplifier=line.amplifier, channel="2", life_safety=YesNoUnknown.UNKNOWN)
    with pytest.raises(ValueError, match=r"[Ll]ife.safety|licensed practice"):
        record_visit_measurement(by=tech, visit=visit, line=line, values=OHM)
    task = _task(visit, TaskKind.IMPEDANCE)
    with pytest.raises(RefusedError, match="Choose not done"):
        record_task(by=tech, task=task, result="wrong")
    assert record_task(by=tech, task=task, result="not done", why_not="voice alarm").why_not == "voice alarm"


def test_what_is_of_another_site_is_refused(visit: Visit, tech: User) -> None:
    elsewhere, line = ZoneFactory(), LineFactory()
    with pytest.raises(ValueError, match="not of this visit's site"):
        record_visit_reading(by=tech, visit=visit, zone=elsewhere, state="as found", values=LEVEL)
    with pytest.raises(ValueError, match="not of this visit's site"):
        record_visit_measurement(by=tech, visit=visit, line=line, values=OHM)
    with pytest.raises(RefusedError, match="This zone is of another site"):
        add_finding(by=tech, site=visit.site, visit=visit, values=FINDING | {"zone_id": elsewhere.pk})


def test_a_finding_lives_without_a_visit_is_edited_closed_and_opened_again(zone: Zone, tech: User, other: User) -> None:
    found = add_finding(by=tech, site=zone.site, values=FINDING | {"zone_id": zone.pk})
    seen = version_of(found)
    edit_finding(by=tech, finding=found, values={"severity": "down"}, version=seen)
    with pytest.raises(ChangedMeanwhileError, match="tech changed"):
        edit_finding(by=other, finding=found, values={"severity": "hazardous"}, version=seen)
    with pytest.raises(RefusedError, match="Say what was done"):
        close_finding(by=tech, finding=found, done="  ")
    close_finding(by=tech, finding=found, done="Fastened")
    assert reopen_finding(by=other, finding=found).is_open
    with pytest.raises(RefusedError) as refused:
        edit_finding(by=tech, finding=found, values={"says": " ", "follow_up": "some day"})
    assert {problem.field for problem in refused.value.problems} == {"says", "follow_up"}


def test_a_part_is_corrected_by_a_row_and_taken_out_by_nought(visit: Visit, tech: User, other: User) -> None:
    fuse = use_part(by=tech, visit=visit, what="Fuse", quantity=2)
    three = correct_part(by=tech, part=fuse, what="Fuse 3 A", quantity=3)
    assert [str(part) for part in parts_of(visit)] == ["3 × Fuse 3 A"]
    with pytest.raises(ValueError, match="tech corrected this part already"):
        correct_part(by=other, part=fuse, what="Fuse", quantity=1)
    correct_part(by=tech, part=three, what="Fuse 3 A", quantity=0)
    assert not parts_of(visit).exists() and visit.parts.count() == 3


def test_a_photo_is_drawn_anew_and_what_is_none_refused(visit: Visit, tech: User) -> None:
    photo = add_visit_photo(by=tech, visit=visit, data=picture(), caption="Rack")
    assert (photo.width, photo.height, photo.image.name.startswith("visits/")) == (80, 60, True)
    with pytest.raises(ValueError, match="no photo"):
        add_visit_photo(by=tech, visit=visit, data=b"<svg/>")


def _closing(**values: Any) -> dict[str, Any]:
    return CLOSING | values


def test_a_visit_is_done_only_when_every_task_is(visit: Visit, zone: Zone, line: Line, tech: User) -> None:
    done = _closing(outcome="done", why_not="")
    with pytest.raises(RefusedError, match="Ceiling fixings"):
        close_visit(by=tech, visit=visit, values=done)
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)
    record_visit_measurement(by=tech, visit=visit, line=line, values=OHM)
    for task in visit.tasks.all():
        record_task(by=tech, task=task, result="done")
    assert unfinished(visit) == []
    closed = close_visit(by=tech, visit=visit, values=done)
    assert (closed.outcome, closed.closed_by, closed.is_open) == ("done", tech, False)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"outcome": ""}, "outcome"),
        ({"result": ""}, "result"),
        ({"signature": " "}, "signature"),
        ({"why_not": ""}, "why_not"),
        ({"minutes": -1}, "minutes"),
        ({"result": "x" * 401}, "result"),
    ],
)
def test_closing_says_what_is_missing(values: dict[str, Any], field: str, visit: Visit, tech: User) -> None:
    with pytest.raises(RefusedError) as refused:
        close_visit(by=tech, visit=visit, values=_closing(**values))
    assert [problem.field for problem in refused.value.problems] == [field]
    assert Visit.objects.get(pk=visit.pk).is_open


def test_a_visit_that_was_not_possible_needs_no_beginning(line: Line, tech: User) -> None:
    visit = visit_with_tasks(line)
    with pytest.raises(RefusedError, match="not begun"):
        close_visit(by=tech, visit=visit, values=_closing())
    assert close_visit(by=tech, visit=visit, values=_closing(outcome="not possible")).begun_at is None
