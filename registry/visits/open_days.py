"""When a site can be worked at: its hours by weekday, its holidays and those of everywhere."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from typing import Final

from django.db.models import Q

from registry.visits.models import Holiday, SiteHours
from registry.visits.rule_choices import DAY_NAMES

LOOK_AHEAD: Final = 60


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


def open_days_of(site_ids: Iterable[int]) -> dict[int, OpenDays]:
    """Return the open days of sites. Two queries."""
    wanted = list(site_ids)
    hours: dict[int, dict[int, tuple[time, time]]] = defaultdict(dict)
    for row in SiteHours.objects.filter(site__in=wanted):
        hours[row.site_id][row.weekday] = (row.opens, row.closes)
    everywhere: dict[date, str] = {}
    own: dict[int, dict[date, str]] = defaultdict(dict)
    for holiday in Holiday.objects.filter(Q(site__isnull=True) | Q(site__in=wanted)):
        days = everywhere if holiday.site_id is None else own[holiday.site_id]
        days[holiday.date] = holiday.name
    return {pk: OpenDays(hours[pk], everywhere | own[pk]) for pk in wanted}
