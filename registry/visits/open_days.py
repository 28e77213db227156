"""When a site can be worked at, its hours and holidays; and where single dates of plans were put."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from typing import Any, Final, NamedTuple

from django.db.models import DateField, IntegerField, Q, TimeField, Value

from registry.visits.models import Holiday, MovedDate, SiteHours
from registry.visits.rule_choices import DAY_NAMES

LOOK_AHEAD: Final = 60
NO_NUMBER, NO_DAY, NO_TIME = (Value(None, output_field=each()) for each in (IntegerField, DateField, TimeField))


class MovedTo(NamedTuple):
    """Where somebody put one date of a plan; None: it is left out."""

    to: date | None
    starts_at: time | None
    reason: str


@dataclass(frozen=True, slots=True)
class OpenDays:
    """The hours of one site (none at all: any day, any time) and the names of the days without visits."""

    hours: Mapping[int, tuple[time, time]] = field(default_factory=dict)
    holidays: Mapping[date, str] = field(default_factory=dict)

    def closed(self, day: date) -> str:
        """Return why nobody can work on a day; empty when somebody can."""
        if day in self.holidays:
            return self.holidays[day]
        if self.hours and day.weekday() not in self.hours:
            return f"closed on {DAY_NAMES[day.weekday()]}s"
        return ""

    def open_day(self, day: date) -> tuple[date, str]:
        """Return the day itself, or the next one on which the site is open, with the reason why it isn't the first."""
        reason = self.closed(day)
        if not reason:
            return day, ""
        ahead = (day + timedelta(days=step) for step in range(1, LOOK_AHEAD))
        return next((each for each in ahead if not self.closed(each)), day), reason

    def outside(self, day: date, starts: time, minutes: int) -> str:
        """Return a warning when the work would not fit into the hours of that day; empty when it does."""
        if day.weekday() not in self.hours:
            return ""
        opens, closes = self.hours[day.weekday()]
        begin = starts.hour * 60 + starts.minute
        fits = starts >= opens and begin + minutes <= closes.hour * 60 + closes.minute
        told = f"{opens:%H:%M} to {closes:%H:%M}"
        return "" if fits else f"outside the site's hours on {DAY_NAMES[day.weekday()]}s, {told}"


class Days(NamedTuple):
    """The open days of sites, and the moved dates of plans by plan and site."""

    open: Mapping[int, OpenDays]
    moved: defaultdict[tuple[int, int], dict[date, MovedTo]]


def days_of(site_ids: Iterable[int], plan_ids: Iterable[int] = ()) -> Days:
    """Return the open days of sites and the moved dates of plans there. One query."""
    wanted = list(site_ids)
    moved: defaultdict[tuple[int, int], dict[date, MovedTo]] = defaultdict(dict)
    hours: dict[int, dict[int, tuple[time, time]]] = defaultdict(dict)
    holidays: dict[int | None, dict[date, str]] = defaultdict(dict)
    for site, plan, weekday, day, to, starts, ends, words in _rows(wanted, plan_ids):
        if plan is not None:
            moved[plan, site][day] = MovedTo(to, starts, words)
        elif weekday is not None:
            hours[site][weekday] = (starts, ends)
        else:
            holidays[site][day] = words
    return Days({pk: OpenDays(hours[pk], holidays[None] | holidays[pk]) for pk in wanted}, moved)


def _rows(site_ids: Sequence[int], plan_ids: Iterable[int]) -> Iterable[Any]:
    """Return three tables of a few rows each as one: the plan is that of a moved date, the weekday that of hours."""
    moved = MovedDate.objects.filter(plan__in=plan_ids)
    hours = SiteHours.objects.filter(site__in=site_ids)
    holidays = Holiday.objects.filter(Q(site__isnull=True) | Q(site__in=site_ids))
    return moved.values_list("site", "plan", NO_NUMBER, "date", "to", "starts_at", NO_TIME, "reason").union(
        hours.order_by().values_list("site", NO_NUMBER, "weekday", NO_DAY, NO_DAY, "opens", "closes", Value("")),
        holidays.order_by().values_list("site", NO_NUMBER, NO_NUMBER, "date", NO_DAY, NO_TIME, NO_TIME, "name"),
        all=True,
    )
