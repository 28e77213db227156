"""Which visits are due, soon or overdue, for any number of plans in a constant number of queries.

The one place where that is worked out: lists, pages, reminders and the calendar all ask here.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import islice, takewhile
from typing import Any, Final, NamedTuple

from django.db.models import FilteredRelation, QuerySet

from registry.visits.counting import next_after
from registry.visits.models import Counting, Visit, VisitPlan
from registry.visits.open_days import MovedTo, OpenDays, days_of
from registry.visits.recurrence import Rule, moment, read_rule
from sites.models import Site

DUE_DAYS: Final = 7
SOON_DAYS: Final = 30
LATEST_MOVE: Final = timedelta(days=366)
A_LIFETIME: Final = timedelta(days=40 * 366)
FAR: Final = date(9000, 1, 1)  # the rule stops by itself long before


class State(StrEnum):
    """How a date of a plan stands."""

    OVERDUE = "overdue"
    DUE = "due"
    SOON = "soon"
    LATER = "later"


@dataclass(frozen=True, slots=True)
class PlanDay:
    """A date of the rule at a site: the day on which it is held, and why that isn't the rule's own."""

    occurrence: date
    day: date
    starts_at: datetime
    why: str = ""
    left_out: bool = False
    warning: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """How a plan stands at one site: its next open date, what is scheduled for it, and what was missed before."""

    plan: VisitPlan
    site: Site
    next: PlanDay | None
    visit: Visit | None
    last: Visit | None
    missed: int
    state: State | None

    @property
    def is_unscheduled(self) -> bool:
        """Whether nobody has made a visit of its next date."""
        return self.next is not None and self.visit is None

    @property
    def is_under_way(self) -> bool:
        """Whether somebody is there: what was late is no longer."""
        return self.visit is not None and self.visit.begun_at is not None

    @property
    def day(self) -> date | None:
        """The day on which somebody goes there next, or went: the visit's, or the date's."""
        if self.visit is not None:
            return (self.visit.begun_at or self.visit.starts_at).astimezone(self.site.zone_info).date()
        return self.next.day if self.next else None


class PlanAt(NamedTuple):
    """A plan at one of its sites, with all that its dates depend on."""

    plan: VisitPlan
    site: Site
    rule: Rule
    moved: Mapping[date, MovedTo]
    visits: Sequence[Visit]
    open_days: OpenDays


def plans_at(plans: Iterable[VisitPlan], sites: Iterable[Site], visits: Iterable[Visit] | None = None) -> list[PlanAt]:
    """Return every plan at every one of `sites` that it is for. Two queries, or one.

    `sites` are those that the person may read: a client's plan is for all of its sites. `visits` are all that were
    made there, where somebody has read them already.
    """
    return _with_dates(_pairs(plans, sites), visits)


def plans_at_all_sites(plans: QuerySet[VisitPlan]) -> list[PlanAt]:
    """Return every plan at every site that it is for: who may read it may read all of those. Three queries."""
    found: QuerySet[Any] = plans.annotate(of_client=FilteredRelation("client__sites")).select_related(None)
    rows = found.select_related("site", "of_client", "tech").order_by("name", "pk", "of_client__name")
    pairs = ((row, row.site or row.of_client) for row in rows)
    return _with_dates([(plan, site) for plan, site in pairs if site is not None])


def _with_dates(pairs: Sequence[tuple[VisitPlan, Site]], known: Iterable[Visit] | None = None) -> list[PlanAt]:
    pks = {plan.pk for plan, _ in pairs}
    visits: dict[tuple[int | None, int], list[Visit]] = defaultdict(list)
    made = Visit.objects.filter(plan__in=pks).select_related("tech").order_by("occurrence") if known is None else known
    for visit in made:
        visits[visit.plan_id, visit.site_id].append(visit)
    open_days, moved = days_of({site.pk for _, site in pairs}, pks)
    return [
        PlanAt(plan, site, read_rule(plan.rule), moved[plan.pk, site.pk], visits[plan.pk, site.pk], open_days[site.pk])
        for plan, site in pairs
    ]


def is_for(plan: VisitPlan, site: Site) -> bool:
    """Return whether a plan makes visits at a site."""
    return plan.site_id == site.pk or (plan.client_id is not None and plan.client_id == site.client_id)


def _pairs(plans: Iterable[VisitPlan], sites: Iterable[Site]) -> list[tuple[VisitPlan, Site]]:
    """Return every plan with each of these sites that it makes visits at."""
    by_site: dict[int, Site] = {}
    by_client: dict[int, list[Site]] = defaultdict(list)
    for site in sites:
        by_site[site.pk] = site
        by_client[site.client_id].append(site)
    pairs = []
    for plan in plans:
        own = [by_site[plan.site_id]] if plan.site_id in by_site else []
        pairs += [(plan, site) for site in (own if plan.client_id is None else by_client[plan.client_id])]
    return pairs


def standings(
    plans: Iterable[VisitPlan], sites: Iterable[Site], today: date, visits: Iterable[Visit] | None = None
) -> list[Standing]:
    """Return how plans stand at their sites, the most urgent first; `visits` as in `plans_at`."""
    found = [standing(each, today) for each in plans_at(plans, sites, visits)]
    return sorted(found, key=lambda each: (each.day or date.max, each.site.name, each.plan.pk))


def standing(at: PlanAt, today: date) -> Standing:
    """Return how one plan stands at one site."""
    last = max((visit for visit in at.visits if visit.closed_at), key=lambda visit: visit.starts_at, default=None)
    open_visits = {visit.occurrence: visit for visit in at.visits if visit.is_open}
    coming = list(_until_today(at, today))
    past = [each for each in coming if each.day < today]
    with_visit = [each for each in coming if each.occurrence in open_visits]
    following = next(iter(with_visit or past[-1:] or coming), None)
    visit = open_visits.get(following.occurrence) if following else None
    missed = sum(each.occurrence < following.occurrence for each in past) if following else 0
    found = Standing(at.plan, at.site, following, visit, last, missed, None)
    return replace(found, state=State.DUE if found.is_under_way else _state(found.day, today))


def _until_today(at: PlanAt, today: date) -> Iterator[PlanDay]:
    """Yield the open dates that have passed, the first one from today on, and those that visits were made for."""
    made = max((visit.occurrence for visit in at.visits if visit.is_open and visit.occurrence), default=date.min)
    for each in open_dates(at):
        yield each
        if each.day >= today and each.occurrence >= made:
            return


def dates_between(at: PlanAt, begin: date, end: date) -> list[PlanDay]:
    """Return the open dates that are held from `begin` to the day before `end` and that no visit was made of."""
    made = {visit.occurrence for visit in at.visits}
    # A date may be held some weeks after its own; a later one is no sooner than that.
    stop = end + LATEST_MOVE
    found = takewhile(lambda each: each.occurrence < stop, open_dates(at))
    return [each for each in found if begin <= each.day < end and each.occurrence not in made]


def next_dates(at: PlanAt, today: date, number: int) -> list[PlanDay]:
    """Return the next dates of a plan from today on, those that are left out among them."""
    held = (_held(at, day) for day in _dates(at))
    return list(islice((each for each in held if each.day >= today), number))


def open_dates(at: PlanAt) -> Iterator[PlanDay]:
    """Yield the dates that still ask for a visit: after the last one that was closed, not left out, not called off."""
    called_off = {visit.occurrence for visit in at.visits if visit.called_off_because}
    for day in _dates(at):
        held = _held(at, day)
        if not held.left_out and day not in called_off:
            yield held


def as_proposed(at: PlanAt, held: PlanDay, now: datetime) -> PlanDay:
    """Return a date as it can still be held: one whose day has passed on the first open day that is still to come."""
    here = now.astimezone(at.site.zone_info)
    if held.day >= here.date():
        return held
    starts = held.starts_at.astimezone(at.site.zone_info).time()
    first = here.date() if starts > here.time() else here.date() + timedelta(days=1)
    day, _ = at.open_days.open_day(first)
    warning = at.open_days.outside(day, starts, at.plan.minutes)
    starts_at = moment(datetime.combine(day, starts), at.site.zone_info)
    return replace(held, day=day, starts_at=starts_at, why="that day has passed", warning=warning)


def due_after(visit: Visit, at: datetime, others: Iterable[Any]) -> date | None:
    """Return the date that follows a visit by the rule of its plan, as plan and visits stood at a time. One query.

    `others` are all other visits to its site.

    None without a plan, or when the plan was ended or its rule has no further date. Days that are closed are for
    whoever schedules it.
    """
    plans = VisitPlan.history.filter(id=visit.plan_id, history_date__lte=at).order_by("history_date", "history_id")
    if visit.plan_id is None or (plan := plans.last()) is None:
        return None
    closed = [each for each in others if each.plan_id == visit.plan_id and each.closed_at and each.closed_at <= at]
    this = copy(visit)
    this.closed_at = visit.closed_at or at
    visits = [*closed, this]
    then = PlanAt(plan.instance, visit.site, read_rule(plan.rule), {}, visits, OpenDays())
    return next(_dates(then), None)


def _dates(at: PlanAt) -> Iterator[date]:
    if at.plan.ended_on is not None:
        return
    closed = [visit for visit in at.visits if visit.closed_at and visit.occurrence]
    if at.plan.counting == Counting.DONE and closed:
        yield from _dates_from_done(at, closed)
        return
    last = max((visit.occurrence for visit in closed if visit.occurrence), default=date.min)
    first = datetime.combine(at.plan.starts_on, at.plan.starts_at)
    for each in at.rule.dates(first, at.site.zone_info, before=FAR):
        if each.date > last:
            yield each.date


def _dates_from_done(at: PlanAt, closed: Sequence[Visit]) -> Iterator[date]:
    left = None if at.rule.count is None else at.rule.count - len(closed)
    done = max(visit.begun_at or visit.starts_at for visit in closed).astimezone(at.site.zone_info).date()
    found = next_after(at.rule, done)
    while found is not None and found < done + A_LIFETIME and (left is None or left > 0):
        yield found
        left = None if left is None else left - 1
        found = next_after(at.rule, found)


def _held(at: PlanAt, day: date) -> PlanDay:
    """Return the day on which a date is held: where somebody put it, else the first open day from the rule's on."""
    moved, starts = at.moved.get(day), at.plan.starts_at
    if moved is not None:
        starts = moved.starts_at or starts
        held, why = moved.to or day, moved.reason
        left_out = moved.to is None
    else:
        (held, why), left_out = at.open_days.open_day(day), False
    warning = "" if left_out else at.open_days.outside(held, starts, at.plan.minutes)
    if moved is not None and moved.to is not None and (closed := at.open_days.closed(held)):
        warning = closed
    return PlanDay(day, held, moment(datetime.combine(held, starts), at.site.zone_info), why, left_out, warning)


def _state(day: date | None, today: date) -> State | None:
    if day is None:
        return None
    if day < today:
        return State.OVERDUE
    if day <= today + timedelta(days=DUE_DAYS):
        return State.DUE
    return State.SOON if day <= today + timedelta(days=SOON_DAYS) else State.LATER
