"""The next date of a plan whose interval counts from the day that the work was done."""

from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from registry.visits.recurrence import Rule, read_rule
from registry.visits.rule_choices import Choices, Unit, choices_of

PLAIN_ONLY: Final = "only a rule made of the plain choices can count from the day it was done: choose fixed dates"
FOREVER: Final = date(9000, 1, 1)


def next_after(rule: Rule, done: date) -> date | None:
    """Return the date that follows a visit on `done` when the interval counts from there; None when the rule has ended.

    The day stays the rule's: every 6 months on the 15th, done on 28 March, is due on 15 September.

    Raises ValueError for a rule that the plain choices can't show.
    """
    choices = choices_of(rule)
    if choices is None:
        raise ValueError(PLAIN_ONLY)
    begin, end = _period(choices.unit, done)
    step = read_rule(_from_any_month(choices).rule())
    dates = step.dates(datetime.combine(begin, time.min), ZoneInfo("UTC"), before=FOREVER)
    found = next((each.date for each in dates if each.date >= end), None)
    return None if found is None or (choices.until and found > choices.until) else found


def _period(unit: Unit, day: date) -> tuple[date, date]:
    """Return the first day of the week or month that a day is in, and the first day after it."""
    if unit == Unit.WEEK:
        monday = day - timedelta(days=day.weekday())
        return monday, monday + timedelta(days=7)
    begin = day.replace(day=1)
    return begin, (begin + timedelta(days=31)).replace(day=1)


def _from_any_month(choices: Choices) -> Choices:
    """Return the same interval and day by the month instead of the year: done in January is due in January again."""
    by_week = choices.unit == Unit.WEEK
    return Choices(
        every=choices.every if by_week else choices.months(),
        unit=Unit.WEEK if by_week else Unit.MONTH,
        on=choices.on,
        month_day=choices.month_day,
        nth=choices.nth,
        weekday=choices.weekday,
    )
