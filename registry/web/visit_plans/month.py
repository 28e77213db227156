"""A month as weeks of days, and what is on each day: planned and done visits, and dates that nobody has scheduled."""

import calendar
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import NamedTuple

from django.urls import reverse

from registry.visits.due import PlanAt, dates_between
from registry.visits.models import Visit
from sites.models import Site

EARLIEST, LATEST = 1970, 8000


class Entry(NamedTuple):
    """One thing on a day of the calendar."""

    time: str
    title: str
    site: Site
    href: str
    word: str
    tech: str


class Day(NamedTuple):
    """A day of the calendar with its entries and the holidays' names."""

    date: date
    in_month: bool
    is_today: bool
    entries: list[Entry]
    holiday: str


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


def month_of(first: date, entries: Mapping[date, list[Entry]], holidays: Mapping[date, str], today: date) -> Month:
    """Return a month filled with entries."""
    weeks = [
        [Day(day, day.month == first.month, day == today, entries.get(day, []), holidays.get(day, "")) for day in week]
        for week in calendar.Calendar().monthdatescalendar(first.year, first.month)
    ]
    after = (first + timedelta(days=31)).replace(day=1)
    return Month(first, weeks, (first - timedelta(days=1)).replace(day=1), after)


def entries_of(
    visits: Iterable[Visit], plans: Iterable[PlanAt], begin: date, end: date, today: date
) -> dict[date, list[Entry]]:
    """Return what is on each day, in the order of the day; times are those at each site."""
    found: dict[date, list[Entry]] = defaultdict(list)
    for visit in visits:
        there = visit.starts_at.astimezone(visit.site.zone_info)
        href = reverse("visit", args=[visit.pk])
        tech = str(visit.tech) if visit.tech else ""
        word = visit_state(visit, today).lower()
        found[there.date()].append(Entry(f"{there:%H:%M}", visit.title, visit.site, href, word, tech))
    for at in plans:
        href = reverse("visit-plan", args=[at.plan.pk])
        for each in dates_between(at, begin, end):
            word = "overdue" if each.day < today else "not scheduled"
            there = each.starts_at.astimezone(at.site.zone_info)
            tech = str(at.plan.tech) if at.plan.tech else ""
            found[each.day].append(Entry(f"{there:%H:%M}", at.plan.name, at.site, href, word, tech))
    return {day: sorted(entries, key=lambda each: (each.time, each.site.name)) for day, entries in found.items()}


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
