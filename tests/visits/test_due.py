"""What is due, soon or overdue: by the rule or counted from done, with moved dates, holidays and hours."""

from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from registry.demo.factories import ClientFactory, SiteFactory, UserFactory
from registry.visits.closed_days import add_holiday, save_hours
from registry.visits.due import Standing, State, as_proposed, due_after, next_dates, open_dates, plans_at, standings
from registry.visits.models import Counting, Outcome, Visit, VisitPlan
from registry.visits.plan_editing import end_plan, move_date, put_date_back, save_plan
from registry.visits.scheduling import PlanDate, call_off_visit, schedule_visit
from sites.models import Site, User
from sites.put import RefusedError

MONTHLY = "FREQ=MONTHLY;INTERVAL=1;BYMONTHDAY=15"
TODAY = date(2027, 3, 10)


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory()


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory(name="North Hall")


def plan_of(tech: User, site: Site, rule: str = MONTHLY, first: date = date(2027, 1, 15), **more: Any) -> VisitPlan:
    owner = {} if "client" in more else {"site": site}
    values = {
        "name": "Check",
        "rule": rule,
        "starts_on": first,
        "starts_at": time(9),
        "minutes": 60,
        "counting": Counting.DUE,
    }
    return save_plan(by=tech, plan=None, values={**owner, **values, **more}, tasks=[])


def now(plan: VisitPlan, site: Site, today: date = TODAY) -> Standing:
    (found,) = standings([plan], [site], today)
    return found


def visit_of(tech: User, plan: VisitPlan, site: Site, occurrence: date, at: datetime | None = None) -> Visit:
    at = at or datetime.combine(occurrence, time(9), tzinfo=UTC)
    return schedule_visit(by=tech, site=site, title="Check", starts_at=at, of=PlanDate(plan, occurrence))


def close(visit: Visit) -> None:
    visit.begun_at, visit.closed_at = visit.starts_at, visit.starts_at
    visit.outcome, visit.signature = Outcome.DONE, "tech"
    visit.save()


def days(plan: VisitPlan, site: Site, number: int = 3, today: date = TODAY) -> list[date]:
    (at,) = plans_at([plan], [site])
    return [each.day for each in next_dates(at, today, number)]


@pytest.mark.parametrize(
    ("today", "state"),
    [
        (date(2027, 1, 16), State.OVERDUE),
        (date(2027, 1, 15), State.DUE),
        (date(2027, 1, 8), State.DUE),
        (date(2027, 1, 7), State.SOON),
        (date(2026, 12, 16), State.SOON),
        (date(2026, 12, 15), State.LATER),
    ],
)
def test_due_within_a_week_soon_within_thirty_days(tech: User, site: Site, today: date, state: State) -> None:
    assert now(plan_of(tech, site), site, today).state == state


def test_the_newest_missed_date_is_overdue_and_those_before_it_are_counted(tech: User, site: Site) -> None:
    found = now(plan_of(tech, site), site)
    assert found.next is not None
    assert (found.day, found.state, found.missed, found.is_unscheduled) == (date(2027, 2, 15), State.OVERDUE, 1, True)


def test_a_closed_visit_puts_everything_up_to_its_date_behind(tech: User, site: Site) -> None:
    plan = plan_of(tech, site)
    close(visit_of(tech, plan, site, date(2027, 2, 15)))
    found = now(plan, site)
    assert (found.day, found.missed, found.state) == (date(2027, 3, 15), 0, State.DUE)


def test_a_scheduled_visit_answers_for_its_date_wherever_it_was_moved(tech: User, site: Site) -> None:
    plan = plan_of(tech, site)
    visit = visit_of(tech, plan, site, date(2027, 2, 15), datetime(2027, 3, 20, 9, tzinfo=UTC))
    found = now(plan, site)
    assert (found.visit, found.day, found.state) == (visit, date(2027, 3, 20), State.SOON)


def test_a_visit_that_was_not_begun_in_time_is_overdue(tech: User, site: Site) -> None:
    plan = plan_of(tech, site)
    visit_of(tech, plan, site, date(2027, 2, 15))
    found = now(plan, site)
    assert (found.state, found.is_unscheduled) == (State.OVERDUE, False)


def test_a_visit_under_way_is_not_overdue(tech: User, site: Site) -> None:
    plan = plan_of(tech, site)
    visit = visit_of(tech, plan, site, date(2027, 1, 15))
    assert now(plan, site).state == State.OVERDUE
    Visit.objects.filter(pk=visit.pk).update(begun_at=datetime(2027, 3, 9, 10, tzinfo=UTC))
    found = now(plan, site)
    assert (found.state, found.day, found.is_under_way) == (State.DUE, date(2027, 3, 9), True)


@pytest.mark.parametrize(
    ("at", "proposed"),
    [
        (datetime(2027, 1, 14, 20, tzinfo=UTC), datetime(2027, 1, 15, 9, tzinfo=UTC)),  # still to come
        (datetime(2027, 3, 10, 8, tzinfo=UTC), datetime(2027, 3, 10, 9, tzinfo=UTC)),  # today, before its hour
        (datetime(2027, 3, 10, 10, tzinfo=UTC), datetime(2027, 3, 12, 9, tzinfo=UTC)),  # tomorrow is a holiday
    ],
)
def test_a_date_that_has_passed_is_proposed_for_the_next_open_day(
    tech: User, site: Site, at: datetime, proposed: datetime
) -> None:
    site.timezone = "UTC"
    add_holiday(by=tech, site=site, day=date(2027, 3, 11), name="Fair")
    (plan_at,) = plans_at([plan_of(tech, site)], [site])
    held = as_proposed(plan_at, next(open_dates(plan_at)), at)
    assert (held.occurrence, held.starts_at) == (date(2027, 1, 15), proposed)
    assert (held.why == "that day has passed") == (proposed.month == 3)


def test_a_visit_called_off_deals_with_its_date(tech: User, site: Site) -> None:
    plan = plan_of(tech, site, first=date(2027, 3, 15))
    call_off_visit(by=tech, visit=visit_of(tech, plan, site, date(2027, 3, 15)), reason="Closed for works")
    assert now(plan, site).day == date(2027, 4, 15)


def test_a_moved_date_keeps_the_rule_and_comes_back(tech: User, site: Site) -> None:
    plan = plan_of(tech, site, first=date(2027, 3, 15))
    moved = move_date(by=tech, plan=plan, site=site, day=date(2027, 3, 15), to=date(2027, 3, 18), reason="Fair")
    assert days(plan, site) == [date(2027, 3, 18), date(2027, 4, 15), date(2027, 5, 15)]
    found = now(plan, site).next
    assert found is not None
    assert (found.occurrence, found.why) == (date(2027, 3, 15), "Fair")
    put_date_back(by=tech, moved=moved)
    assert days(plan, site)[0] == date(2027, 3, 15)


def test_a_date_that_is_left_out_is_not_due_and_stays_readable(tech: User, site: Site) -> None:
    plan = plan_of(tech, site, first=date(2027, 3, 15))
    move_date(by=tech, plan=plan, site=site, day=date(2027, 3, 15), to=None, reason="Closed")
    assert now(plan, site).day == date(2027, 4, 15)
    (at,) = plans_at([plan], [site])
    first = next_dates(at, TODAY, 1)[0]
    assert (first.left_out, first.why) == (True, "Closed")


def test_a_date_that_has_a_visit_is_not_moved_behind_its_back(tech: User, site: Site) -> None:
    plan = plan_of(tech, site)
    visit_of(tech, plan, site, date(2027, 3, 15))
    with pytest.raises(RefusedError, match="move that visit"):
        move_date(by=tech, plan=plan, site=site, day=date(2027, 3, 15), to=date(2027, 3, 18), reason="Fair")


def test_holidays_and_closed_days_propose_the_next_open_day_and_say_why(tech: User, site: Site) -> None:
    # 15 March 2027 is a Monday.
    plan = plan_of(tech, site, first=date(2027, 3, 15))
    save_hours(by=tech, site=site, hours={day: (time(8), time(17)) for day in (0, 2, 3)})
    add_holiday(by=tech, site=None, day=date(2027, 3, 15), name="Spring Day")
    add_holiday(by=tech, site=site, day=date(2027, 3, 17), name="Stocktaking")
    add_holiday(by=tech, site=SiteFactory(), day=date(2027, 3, 18), name="Elsewhere")
    found = now(plan, site).next
    assert found is not None
    assert (found.occurrence, found.day, found.why) == (date(2027, 3, 15), date(2027, 3, 18), "Spring Day")


def test_a_time_outside_the_hours_is_warned_of(tech: User, site: Site) -> None:
    plan = plan_of(tech, site, first=date(2027, 3, 15), starts_at=time(16, 30))
    save_hours(by=tech, site=site, hours={0: (time(8), time(17))})
    found = now(plan, site).next
    assert found is not None
    assert found.warning == "outside the site's hours on Mondays, 08:00 to 17:00"


def test_the_same_holiday_is_not_noted_twice(tech: User, site: Site) -> None:
    for where in (None, site):
        add_holiday(by=tech, site=where, day=date(2027, 3, 15), name="Spring Day")
        with pytest.raises(RefusedError, match="noted already"):
            add_holiday(by=tech, site=where, day=date(2027, 3, 15), name="Again")


def test_counted_from_done_the_next_date_follows_the_work(tech: User, site: Site) -> None:
    plan = plan_of(tech, site, "FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=15;COUNT=3", counting=Counting.DONE)
    assert now(plan, site, date(2027, 1, 10)).day == date(2027, 1, 15)
    close(visit_of(tech, plan, site, date(2027, 1, 15), datetime(2027, 3, 2, 9, tzinfo=UTC)))
    assert days(plan, site) == [date(2027, 9, 15), date(2028, 3, 15)]


def test_a_rule_that_cannot_count_from_done_is_refused(tech: User, site: Site) -> None:
    with pytest.raises(RefusedError, match="choose fixed dates"):
        plan_of(tech, site, "FREQ=DAILY;INTERVAL=10", counting=Counting.DONE)


def test_an_ended_plan_makes_nothing_due(tech: User, site: Site) -> None:
    found = now(end_plan(by=tech, plan=plan_of(tech, site)), site)
    assert (found.next, found.state) == (None, None)


def test_the_plan_of_a_client_is_for_each_of_its_sites_and_no_other(tech: User) -> None:
    client = ClientFactory()
    first, second = SiteFactory(client=client), SiteFactory(client=client)
    plan = plan_of(tech, first, client=client, first=date(2027, 3, 15))
    close(visit_of(tech, plan, first, date(2027, 3, 15)))
    found = {each.site: each.day for each in standings([plan], [first, second, SiteFactory()], TODAY)}
    assert found == {first: date(2027, 4, 15), second: date(2027, 3, 15)}


def test_any_number_of_plans_costs_the_same_queries(tech: User) -> None:
    counts = []
    for _ in range(2):
        for _ in range(2):
            site = SiteFactory()
            visit_of(tech, plan_of(tech, site), site, date(2027, 2, 15))
        plans, sites = list(VisitPlan.objects.all()), list(Site.objects.all())
        with CaptureQueriesContext(
            connection,
        ) as counted:
            assert len(standings(plans, sites, TODAY)) == len(plans)
        counts.append(len(counted))
    assert counts == [2, 2]


def test_the_day_is_that_of_the_site(tech: User) -> None:
    # 15 March 23:30 in Chicago is 16 March in UTC.
    site = SiteFactory(time_zone="America/Chicago")
    plan = plan_of(tech, site, first=date(2027, 3, 15), starts_at=time(23, 30))
    found = now(plan, site)
    assert found.next is not None
    assert found.next.starts_at == datetime(2027, 3, 16, 4, 30, tzinfo=UTC)
    visit_of(tech, plan, site, date(2027, 3, 15), found.next.starts_at)
    assert now(plan, site).day == date(2027, 3, 15)


@pytest.mark.parametrize(
    ("counting", "due"), [(Counting.DUE, date(2027, 2, 15)), (Counting.DONE, date(2027, 3, 15))], ids=str
)
def test_the_date_after_a_visit_is_that_of_its_plan_as_it_was(
    tech: User, site: Site, counting: Counting, due: date
) -> None:
    plan = plan_of(tech, site, counting=counting)
    visit = visit_of(tech, plan, site, date(2027, 1, 15), datetime(2027, 2, 3, 9, tzinfo=UTC))
    signed = timezone.now()
    assert due_after(visit, signed, []) == due
    end_plan(by=tech, plan=plan)
    assert (due_after(visit, signed, []), due_after(visit, timezone.now(), [])) == (due, None)
    other = schedule_visit(by=tech, site=site, title="Other", starts_at=visit.starts_at)
    assert due_after(other, signed, []) is None
