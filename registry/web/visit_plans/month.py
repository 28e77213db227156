"""A month as weeks of days, and what is on each day: planned and done visits, and dates that nobody has scheduled."""

import calendar
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import NamedTuple

from django.urls import reverse

from registry.visits.due import PlanAt, PlanDay
from registry.visits.models import Visit, VisitPlan
from sites.models import Site

EARLIEST, LATEST = 1970, 8000
SHOWN = 12


class Entry(NamedTuple):
    """One thing on a day of the calendar."""

    time: str
    title: str
    site: Site
    href: str
    word: str
    tech: str


class Event(NamedTuple):
    """A visit, or a date of a plan, before it is worded."""

    time: str
    site: Site
    what: Visit | VisitPlan


class Day(NamedTuple):
    """A day of the calendar with its first entries, the holidays' names, and how many entries more there are."""

    date: date
    in_month: bool
    is_today: bool
    entries: list[Entry]
    holiday: str
    more: int


class Month(NamedTuple):
    """A month with whole weeks, Monday first, and the months around it."""

    first: date
    weeks: list[list[Day]]
    before: date
    after: date

    @property
    def busy(self) -> list[Day]:
        """The days of the month on which something is: what a phone shows."""
        return [day for week in self.weeks for day in week if day.in_month and (day.entries or day.holiday)]


def month_asked(text: str, today: date) -> date:
    """Return the first day of the month that an address asks for (2026-12); this month when it asks for none."""
    try:
        found = date.fromisoformat(f"{text}-01")
    except ValueError:
        found = today
    return found.replace(day=1) if EARLIEST < found.year < LATEST else today.replace(day=1)


def span(first: date) -> tuple[date, date]:
    """Return the first day shown with a month, and the first one not shown."""
    days = list(calendar.Calendar().itermonthdates(first.year, first.month))
    return days[0], days[-1] + timedelta(days=1)


def month_of(first: date, events: Mapping[date, list[Event]], holidays: Mapping[date, str], today: date) -> Month:
    """Return a month filled with what happens on each day, the first few of them."""
    weeks = [
        [_day(day, day.month == first.month, events.get(day, []), holidays.get(day, ""), today) for day in week]
        for week in calendar.Calendar().monthdatescalendar(first.year, first.month)
    ]
    after = (first + timedelta(days=31)).replace(day=1)
    return Month(first, weeks, (first - timedelta(days=1)).replace(day=1), after)


def _day(day: date, in_month: bool, events: list[Event], holiday: str, today: date) -> Day:
    shown = sorted(events, key=lambda each: (each.time, each.site.name))[:SHOWN]
    entries = [_entry(each, day, today) for each in shown]
    return Day(day, in_month, day == today, entries, holiday, len(events) - len(entries))


def _entry(event: Event, day: date, today: date) -> Entry:
    what = event.what
    tech = str(what.tech) if what.tech else ""
    if isinstance(what, Visit):
        href = reverse("visit", args=[what.pk])
        return Entry(event.time, what.title, event.site, href, visit_state(what, today).lower(), tech)
    word = "overdue" if day < today else "not scheduled"
    return Entry(event.time, what.name, event.site, reverse("visit-plan", args=[what.pk]), word, tech)


def events_of(visits: Iterable[Visit], dates: Iterable[tuple[PlanAt, PlanDay]]) -> dict[date, list[Event]]:
    """Return what happens on each day: visits, and dates of plans that no visit was made of; times as at each site."""
    found: dict[date, list[Event]] = defaultdict(list)
    for visit in visits:
        there = visit.starts_at.astimezone(visit.site.zone_info)
        found[there.date()].append(Event(f"{there:%H:%M}", visit.site, visit))
    for at, each in dates:
        there = each.starts_at.astimezone(at.site.zone_info)
        found[each.day].append(Event(f"{there:%H:%M}", at.site, at.plan))
    return found


def visit_state(visit: Visit, today: date) -> str:
    """Return how a visit stands, in one word."""
    if visit.called_off_because:
        return "Called off"
    if visit.closed_at:
        return "Closed"
    if visit.begun_at:
        return "Begun"
    late = visit.starts_at.astimezone(visit.site.zone_info).date() < today
    return "Overdue" if late else "Scheduled"
