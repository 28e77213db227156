"""Visit plans of the demo: one overdue, one due, one scheduled; with hours, holidays and a moved date."""

from datetime import date, datetime, time, timedelta
from typing import Final

from registry.visits.closed_days import add_holiday, save_hours
from registry.visits.due import open_dates, plans_at
from registry.visits.models import Counting, VisitPlan
from registry.visits.plan_editing import WantedTask, move_date, save_plan
from registry.visits.rule_choices import Choices, On, Unit
from registry.visits.scheduling import PlanDate, schedule_visit
from registry.visits.subjects import proposed_tasks, subjects_of
from sites.models import Client, Site, User

MORNING: Final = time(8, 0)
OVERDUE: Final = timedelta(days=9)
DUE: Final = timedelta(days=4)
LATER: Final = timedelta(days=16)


def plan_visits(site: Site, *, by: User, today: date) -> None:
    """Plan the visits of the demo; `site` is the garden centre."""
    _plan_garden_centre(site, by, today)
    library = Site.objects.filter(code="quillmarsh").first()
    taproom = Site.objects.filter(code="tin-heron").first()
    if library is not None:
        _plan_libraries(library.client, by, today)
    if taproom is not None:
        _plan_taproom(taproom, by, today)
    new_year = date(today.year + 1, 1, 1)
    add_holiday(by=by, site=None, day=new_year, name="New Year's Day")
    add_holiday(by=by, site=site, day=new_year + timedelta(days=1), name="Stocktaking")


def _plan_garden_centre(site: Site, by: User, today: date) -> None:
    """Open Monday to Saturday; twice a year, and the visit of nine days ago was never scheduled."""
    save_hours(by=by, site=site, hours={day: (time(7, 30), time(18, 0)) for day in range(6)})
    day = _working_day(today - OVERDUE)
    _plan(by, site, "Half-yearly maintenance", _monthly(6, day), day, tech=by)
    seasonal = Choices(every=1, unit=Unit.YEAR, on=On.DAY, month_day=1, month=4)
    _plan(by, site, "Before the season", seasonal, today, tech=by)


def _plan_libraries(client: Client, by: User, today: date) -> None:
    """One plan for all libraries: a visit in each, due in a few days and not scheduled yet."""
    day = _working_day(today + DUE)
    plan = _plan(by, client, "Yearly check of every library", _monthly(12, day), day)
    first, *_ = client.sites.all()
    moved_to = day + timedelta(days=14)
    move_date(
        by=by, plan=plan, site=first, day=plan.starts_on, to=moved_to, reason="The reading room is being painted."
    )


def _plan_taproom(site: Site, by: User, today: date) -> None:
    """Counts from the day it was done; the next visit is scheduled."""
    day = _working_day(today + LATER)
    plan = _plan(by, site, "Quarterly maintenance", _monthly(3, day), day, counting=Counting.DONE, tech=by)
    (at,) = plans_at([plan], [site])
    held = next(open_dates(at))
    schedule_visit(
        by=by,
        site=site,
        title=plan.name,
        starts_at=held.starts_at,
        minutes=plan.minutes,
        tech=by,
        of=PlanDate(plan, held.occurrence),
    )
    at_nine = datetime.combine(_working_day(today + timedelta(days=1)), time(9, 0), tzinfo=site.zone_info)
    schedule_visit(by=by, site=site, title="Show the new shift the dials", starts_at=at_nine, minutes=45, tech=by)


def _working_day(day: date) -> date:
    """Return the day itself, or the Monday after a weekend."""
    return day + timedelta(days=7 - day.weekday()) if day.weekday() > 4 else day


def _monthly(every: int, day: date) -> Choices:
    """The weekday of a day in its month: first to fourth, else the last."""
    nth = (day.day - 1) // 7 + 1
    return Choices(every=every, unit=Unit.MONTH, nth=nth if nth < 5 else -1, weekday=day.weekday())


def _plan(
    by: User,
    owner: Site | Client,
    name: str,
    choices: Choices,
    starts_on: date,
    *,
    counting: Counting = Counting.DUE,
    tech: User | None = None,
) -> VisitPlan:
    at = owner if isinstance(owner, Site) else owner.sites.all()[0]
    values = {
        "site" if isinstance(owner, Site) else "client": owner,
        "name": name,
        "rule": choices.rule(),
        "starts_on": starts_on,
        "starts_at": MORNING,
        "minutes": 120,
        "counting": counting,
        "tech": tech,
        "notes": "",
    }
    tasks = [WantedTask(kind, months) for kind, months in proposed_tasks(subjects_of(at)).items()]
    return save_plan(by=by, plan=None, values=values, tasks=tasks)
