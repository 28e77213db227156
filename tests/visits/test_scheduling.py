"""Scheduling: a date becomes a visit that carries the tasks due by its day, one line for each thing."""

from collections import Counter
from datetime import UTC, date, datetime, time, timedelta

import pytest

from registry.demo.factories import (
    ItemFactory,
    LineFactory,
    MakeModelFactory,
    PlaceFactory,
    PlacementFactory,
    RackFactory,
    SiteFactory,
    UserFactory,
    ZoneFactory,
)
from registry.equipment.models import Kind
from registry.visits.due_tasks import is_due
from registry.visits.models import Counting, PlanTask, TaskKind, TaskResult, Visit, VisitKind, VisitPlan, VisitTask
from registry.visits.plan_editing import WantedTask, save_plan
from registry.visits.scheduling import PlanDate, call_off_visit, move_visit, schedule_visit
from registry.visits.subjects import proposed_tasks, subjects_of
from registry.visits.task_list import TASKS
from registry.visits.working import begin_visit
from registry.web.cautions import CAUTIONS
from sites.models import Role, Site, User, YesNoUnknown
from sites.put import RefusedError

FIRST = date(2027, 1, 15)
NINE = time(9)


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory()


@pytest.fixture
def site(db: None) -> Site:
    """Two zones, two lines in order, one on an amplifier that also drives a life-safety line, one rack with a UPS."""
    site = SiteFactory()
    rack = RackFactory(site=site, ups_va=None)
    RackFactory(site=site, ups_va=None)
    ups = ItemFactory(site=site, make_model=MakeModelFactory(kind=Kind.UPS))
    PlacementFactory(place=PlaceFactory(site=site, rack=rack), item=ups)
    ZoneFactory.create_batch(2, site=site)
    for _ in range(2):
        LineFactory(site=site, life_safety=YesNoUnknown.NO)
    guarded = LineFactory(site=site, life_safety=YesNoUnknown.UNKNOWN)
    LineFactory(site=site, amplifier=guarded.amplifier, channel="other", life_safety=YesNoUnknown.NO)
    return site


def plan_with(tech: User, site: Site, *tasks: WantedTask) -> VisitPlan:
    values = {"site": site, "name": "Check", "rule": "FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=15", "starts_on": FIRST}
    values |= {"starts_at": NINE, "minutes": 60, "counting": Counting.DUE}
    return save_plan(by=tech, plan=None, values=values, tasks=tasks)


def schedule(tech: User, plan: VisitPlan, site: Site, day: date = FIRST) -> Visit:
    at = datetime.combine(day, NINE, tzinfo=UTC)
    return schedule_visit(by=tech, site=site, title="Check", starts_at=at, tech=tech, of=PlanDate(plan, day))


def kinds(visit: Visit) -> dict[str, int]:
    return dict(Counter(visit.tasks.values_list("kind", flat=True)))


def test_each_task_asks_once_for_everything_that_it_is_about(tech: User, site: Site) -> None:
    wanted = (TaskKind.LEVELS, TaskKind.IMPEDANCE, TaskKind.UPS_TEST, TaskKind.FILTERS, TaskKind.POWER_CUT)
    visit = schedule(tech, plan_with(tech, site, *(WantedTask(kind, 12) for kind in wanted)), site)
    # Of four lines two share an amplifier with one that may be life-safety related: nobody switches that off.
    assert kinds(visit) == {"levels": 2, "impedance": 2, "ups test": 1, "filters": 2, "power cut": 1}
    assert (visit.kind, visit.occurrence) == (VisitKind.PLANNED, FIRST)
    assert VisitTask.history.filter(visit=visit, history_user=tech).count() == 8


def test_what_is_proposed_fits_what_is_there(site: Site) -> None:
    proposed = proposed_tasks(subjects_of(site))
    assert {TaskKind.UPS_TEST, TaskKind.MUTE_CONTACT, TaskKind.LEVELS} <= proposed.keys()
    assert proposed[TaskKind.LEVELS] == 6
    bare = proposed_tasks(subjects_of(SiteFactory(voice_alarm=YesNoUnknown.NO)))
    assert not {TaskKind.UPS_TEST, TaskKind.MUTE_CONTACT, TaskKind.LEVELS, TaskKind.FILTERS} & bare.keys()


def test_every_kind_is_in_the_list_with_what_passes_and_known_cautions() -> None:
    assert set(TASKS) == set(TaskKind)
    assert all(task.passes and task.record for task in TASKS.values())
    assert {name for task in TASKS.values() for name in task.cautions} <= set(CAUTIONS)
    assert "life-safety" in TASKS[TaskKind.MUTE_CONTACT].cautions


@pytest.mark.parametrize(
    ("months", "done", "day", "due"),
    [
        (12, None, date(2027, 1, 1), True),
        (0, date(2026, 12, 31), date(2027, 1, 1), True),
        (12, date(2026, 1, 15), date(2027, 1, 15), True),
        (12, date(2026, 1, 15), date(2026, 12, 15), True),  # a month before it is due: it comes along
        (12, date(2026, 1, 15), date(2026, 12, 14), False),
        (12, date(2026, 1, 15), date(2026, 7, 15), False),
        (1, date(2027, 1, 1), date(2027, 1, 26), True),  # a quarter of the interval
        (1, date(2027, 1, 1), date(2027, 1, 20), False),
    ],
)
def test_a_task_is_due_after_its_own_interval(months: int, done: date | None, day: date, due: bool) -> None:
    assert is_due(PlanTask(kind=TaskKind.LEVELS, every_months=months), done, day) is due


def test_a_later_visit_carries_only_what_is_due_again(tech: User, site: Site) -> None:
    plan = plan_with(tech, site, WantedTask(TaskKind.LEVELS, 6), WantedTask(TaskKind.LABELS, 12))
    first = schedule(tech, plan, site)
    first.tasks.update(result=TaskResult.DONE)
    assert kinds(schedule(tech, plan, site, date(2027, 7, 15))) == {"levels": 2}


def test_two_visits_ahead_do_not_both_carry_a_task_and_nothing_is_lost_when_one_falls(tech: User, site: Site) -> None:
    plan = plan_with(tech, site, WantedTask(TaskKind.LABELS, 12), WantedTask(TaskKind.OTHER, 0, "Ask for the log"))
    first = schedule(tech, plan, site)
    second = schedule(tech, plan, site, date(2027, 7, 15))
    assert kinds(second) == {"other": 1}
    call_off_visit(by=tech, visit=first, reason="Snow")
    begin_visit(by=tech, visit=second)
    assert kinds(second) == {"other": 1, "labels": 1}


def test_what_was_not_done_is_due_again(tech: User, site: Site) -> None:
    plan = plan_with(tech, site, WantedTask(TaskKind.LABELS, 12))
    schedule(tech, plan, site).tasks.update(result=TaskResult.NOT_DONE, why_not="No time")
    assert kinds(schedule(tech, plan, site, date(2027, 7, 15))) == {"labels": 1}


def test_a_moved_visit_takes_on_what_comes_due_and_keeps_its_date(tech: User, site: Site) -> None:
    plan = plan_with(tech, site, WantedTask(TaskKind.LABELS, 12))
    schedule(tech, plan, site).tasks.update(result=TaskResult.DONE)
    visit = schedule(tech, plan, site, date(2027, 7, 15))
    assert kinds(visit) == {}
    moved = move_visit(by=tech, visit=visit, starts_at=visit.starts_at + timedelta(days=180), minutes=30, tech=None)
    assert (kinds(moved), moved.occurrence, moved.tech) == ({"labels": 1}, date(2027, 7, 15), None)
    assert moved.history.first().history_user == tech


def test_a_date_is_visited_once(tech: User, site: Site) -> None:
    plan = plan_with(tech, site)
    schedule(tech, plan, site)
    with pytest.raises(RefusedError, match="in the register already"):
        schedule(tech, plan, site)
    assert Visit.objects.count() == 1


def test_a_visit_that_was_begun_is_neither_moved_nor_called_off(tech: User, site: Site) -> None:
    visit = begin_visit(by=tech, visit=schedule(tech, plan_with(tech, site), site))
    with pytest.raises(RefusedError, match="was begun"):
        call_off_visit(by=tech, visit=visit, reason="Snow")
    with pytest.raises(RefusedError, match="was begun"):
        move_visit(by=tech, visit=visit, starts_at=visit.starts_at, minutes=30, tech=tech)


def test_another_visit_needs_no_plan_and_refuses_what_is_wrong(tech: User, site: Site) -> None:
    at = datetime(2027, 1, 2, 9, tzinfo=UTC)
    visit = schedule_visit(by=tech, site=site, title="Look at the bar", starts_at=at)
    assert (visit.kind, visit.tasks.count(), visit.plan) == (VisitKind.OTHER, 0, None)
    for given, says in (
        ({"title": " "}, "what the visit is for"),
        ({"minutes": 1}, "5 to 1440 minutes"),
        ({"tech": UserFactory(role=Role.OWNER)}, "can't record a visit"),
        ({"of": PlanDate(plan_with(tech, SiteFactory()), FIRST)}, "is not for"),
    ):
        with pytest.raises(RefusedError, match=says):
            schedule_visit(**({"by": tech, "site": site, "title": "Look", "starts_at": at} | given))
    with pytest.raises(RefusedError, match="say why"):
        call_off_visit(by=tech, visit=visit, reason=" ")
