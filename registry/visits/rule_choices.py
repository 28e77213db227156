"""The plain choices that a plan's form offers, to and from the text of a rule, and a rule in words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from registry.visits.recurrence import Rule, read_rule


class Unit(StrEnum):
    """What the interval counts."""

    WEEK = "week"
    MONTH = "month"
    YEAR = "year"


class On(StrEnum):
    """On which day of its month a visit is due."""

    DAY = "day"
    LAST_DAY = "last day"
    WEEKDAY = "weekday"


FREQ: Final[Mapping[Unit, str]] = {Unit.WEEK: "WEEKLY", Unit.MONTH: "MONTHLY", Unit.YEAR: "YEARLY"}
DAYS: Final = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
DAY_NAMES: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
NTH: Final[Mapping[int, str]] = {1: "first", 2: "second", 3: "third", 4: "fourth", -1: "last"}
MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
DAYS_IN_MONTH: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
SHOWN: Final = re.compile(
    r"FREQ=(?P<freq>WEEKLY|MONTHLY|YEARLY)(;INTERVAL=(?P<every>\d+))?(;BYMONTH=(?P<month>\d+))?"
    r"(;BYDAY=(?P<nth>-?\d)?(?P<weekday>MO|TU|WE|TH|FR|SA|SU)|;BYMONTHDAY=(?P<month_day>-?\d+))"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """Every so many weeks, months or years, on which day, and until when (`until`, `count`, or neither: for good)."""

    every: int
    unit: Unit
    on: On = On.WEEKDAY
    month_day: int = 1
    nth: int = 1
    weekday: int = 0
    month: int = 1
    until: date | None = None
    count: int | None = None

    def rule(self) -> str:
        """Return the text of the rule."""
        parts = [f"FREQ={FREQ[self.unit]}", f"INTERVAL={self.every}"]
        if self.unit == Unit.YEAR:
            parts.append(f"BYMONTH={self.month}")
        parts.append(self._day())
        if self.until:
            parts.append(f"UNTIL={self.until:%Y%m%d}T235959")
        if self.count:
            parts.append(f"COUNT={self.count}")
        return ";".join(parts)

    def _day(self) -> str:
        if self.unit == Unit.WEEK:
            return f"BYDAY={DAYS[self.weekday]}"
        if self.on == On.WEEKDAY:
            return f"BYDAY={self.nth}{DAYS[self.weekday]}"
        return f"BYMONTHDAY={-1 if self.on == On.LAST_DAY else self.month_day}"

    def words(self) -> str:
        """Return the rule in words."""
        every = f"every {self.unit}" if self.every == 1 else f"every {self.every} {self.unit}s"
        return f"{every} on {self._day_words()}{self._end_words()}"

    def _day_words(self) -> str:
        if self.unit == Unit.WEEK:
            return DAY_NAMES[self.weekday]
        month = f" of {MONTHS[self.month - 1]}" if self.unit == Unit.YEAR else ""
        if self.on == On.WEEKDAY:
            return f"the {NTH[self.nth]} {DAY_NAMES[self.weekday]}{month}"
        if self.on == On.LAST_DAY:
            return f"the last day{month or ' of the month'}"
        return f"the {ordinal(self.month_day)}{month}"

    def _end_words(self) -> str:
        if self.until:
            return f", until {self.until.day} {self.until:%b %Y}"
        return f", {self.count} time{'' if self.count == 1 else 's'}" if self.count else ""

    def skips(self, first: date) -> str:
        """Return what a day that not every month has does to the plan; nothing when no visit is lost."""
        if self.unit == Unit.WEEK or self.on != On.DAY or self.month_day <= 28:
            return ""
        months = {(first.month - 1 + self.months() * step) % 12 for step in range(12)}
        lost = [MONTHS[month] for month in sorted(months) if DAYS_IN_MONTH[month] < self.month_day]
        instead = "Choose the last day of the month to have one every time."
        if lost:
            day = ordinal(self.month_day)
            return f"No visit in {_listed(lost)}: there is no {day}, and it isn't put on another day. {instead}"
        if 1 in months and self.month_day == 29:
            return f"February has a 29th in leap years only: in other years there is no visit. {instead}"
        return ""

    def months(self) -> int:
        """Return the interval in months, of a rule by the month or year."""
        return self.every * (12 if self.unit == Unit.YEAR else 1)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def ordinal(number: int) -> str:
    """Return a number as it stands in a date: 1st, 22nd, 13th."""
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def choices_of(rule: Rule) -> Choices | None:
    """Return the choices that a rule stands for, or None when the form can't show it."""
    found = SHOWN.fullmatch(rule.core)
    if found is None or (rule.until and rule.until.endswith("Z")):
        return None
    unit = {freq: unit for unit, freq in FREQ.items()}[found["freq"]]
    if not _fits(unit, found):
        return None
    last = found["month_day"] == "-1"
    return Choices(
        every=int(found["every"] or 1),
        unit=unit,
        on=On.WEEKDAY if found["weekday"] else On.LAST_DAY if last else On.DAY,
        month_day=1 if last else int(found["month_day"] or 1),
        nth=int(found["nth"] or 1),
        weekday=DAYS.index(found["weekday"]) if found["weekday"] else 0,
        month=int(found["month"] or 1),
        until=date.fromisoformat(rule.until[:8]) if rule.until else None,
        count=rule.count,
    )


def _fits(unit: Unit, found: re.Match[str]) -> bool:
    """Return whether the form has a field for every part, and a part for every field that it needs."""
    if (found["month"] is not None) != (unit == Unit.YEAR):
        return False
    if unit == Unit.WEEK:
        return found["nth"] is None and found["weekday"] is not None
    if found["weekday"]:
        return found["nth"] is not None and int(found["nth"]) in NTH
    return int(found["month_day"]) >= -1


def rule_words(text: str) -> str:
    """Return the text of a rule in words, or as it is when the form has no words for it."""
    choices = choices_of(read_rule(text))
    return choices.words() if choices else f"by the rule {text}"
