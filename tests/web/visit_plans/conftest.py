"""A monthly plan of North Hall, a scheduled visit, a moved date, a holiday and a calendar address."""

from datetime import UTC, date, datetime, time

import pytest

from registry.demo.factories import LineFactory, ZoneFactory
from registry.visits.closed_days import add_holiday
from registry.visits.feeds import MadeFeed, make_feed
from registry.visits.models import Counting, Holiday, MovedDate, TaskKind, Visit, VisitPlan
from registry.visits.plan_editing import WantedTask, move_date, save_plan
from registry.visits.scheduling import PlanDate, schedule_visit
from sites.models import Site, User

FIRST, SECOND, THIRD = date(2099, 1, 15), date(2099, 2, 15), date(2099, 3, 15)


def plan_at(site: Site, by: User, name: str = "Monthly check") -> VisitPlan:
    values = {"site": site, "name": name, "rule": "FREQ=MONTHLY;INTERVAL=1;BYMONTHDAY=15", "starts_on": FIRST}
    values |= {"starts_at": time(9), "minutes": 60, "counting": Counting.DUE, "tech": by}
    return save_plan(by=by, plan=None, values=values, tasks=[WantedTask(TaskKind.LEVELS, 6)])


def visit_at(site: Site, by: User, plan: VisitPlan, title: str = "Monthly check") -> Visit:
    at = datetime.combine(FIRST, time(9), tzinfo=UTC)
    return schedule_visit(by=by, site=site, title=title, starts_at=at, tech=by, of=PlanDate(plan, FIRST))


@pytest.fixture
def plan(site: Site, tech: User) -> VisitPlan:
    ZoneFactory(site=site)
    LineFactory(site=site)
    return plan_at(site, tech)


@pytest.fixture
def visit(plan: VisitPlan, site: Site, tech: User) -> Visit:
    return visit_at(site, tech, plan)


@pytest.fixture
def moved(plan: VisitPlan, site: Site, tech: User) -> MovedDate:
    return move_date(by=tech, plan=plan, site=site, day=SECOND, to=date(2099, 2, 20), reason="Fair")


@pytest.fixture
def holiday(site: Site, tech: User) -> Holiday:
    return add_holiday(by=tech, site=site, day=date(2099, 5, 1), name="Spring Day")


@pytest.fixture
def feed(tech: User) -> MadeFeed:
    return make_feed(by=tech, name="My phone")
