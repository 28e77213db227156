"""Recurrence rules of RFC 5545 (section 3.3.10): rule text, first date and time, time zone → dates. No Django.

The rule runs on the clock at the site: local time stays when summer time begins or ends. A local time that the change
skips is read with the offset before the gap, one that comes twice is the first (RFC 5545, section 3.3.5).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import islice
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from dateutil.rrule import rrule, rrulestr

# Which parts go with which frequency (RFC 5545, section 3.3.10, table of BYxxx parts; by the day and the week only what
# always comes round again). More often than daily is no visit, and rules by the second take seconds to work out.
COMMON: Final = frozenset({"FREQ", "INTERVAL", "COUNT", "UNTIL", "WKST", "BYDAY", "BYMONTH"})
PARTS: Final = {
    "DAILY": COMMON,
    "WEEKLY": COMMON,
    "MONTHLY": COMMON | {"BYMONTHDAY", "BYSETPOS"},
    "YEARLY": COMMON | {"BYMONTHDAY", "BYSETPOS", "BYYEARDAY", "BYWEEKNO"},
}
LIMITS: Final = {"BYMONTHDAY": 31, "BYYEARDAY": 366, "BYSETPOS": 366, "BYWEEKNO": 53}
MOST_INTERVAL: Final = 366
MOST_COUNT: Final = 1000
LONGEST: Final = 200
UNTIL: Final = re.compile(r"\d{8}(T\d{6}Z?)?")
YEARS_AHEAD: Final = 40


class Occurrence(NamedTuple):
    """One date of a rule, and its moment in UTC."""

    date: date
    starts_at: datetime


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule that was read and checked: its parts, without COUNT and UNTIL, which bound it from outside."""

    text: str
    core: str
    count: int | None
    until: str

    def dates(self, first: datetime, zone: ZoneInfo, *, before: date) -> Iterator[Occurrence]:
        """Yield the occurrences from `first` (local, naive) up to the day before `before`, in order."""
        end = min(self._last_day(zone), before - timedelta(days=1), _years_after(first.date()))
        found = _expanded(self.core, first, datetime.combine(end, time.max))
        occurrences = (Occurrence(each.date(), moment(each, zone)) for each in found)
        yield from islice((each for each in occurrences if self._includes(each, zone)), self.count)

    def _last_day(self, zone: ZoneInfo) -> date:
        return self._until(zone).astimezone(zone).date() if self.until else date.max - timedelta(days=366)

    def _includes(self, each: Occurrence, zone: ZoneInfo) -> bool:
        return not self.until or each.starts_at <= self._until(zone)

    def _until(self, zone: ZoneInfo) -> datetime:
        """Return UNTIL as a moment: a plain date means all of that day, a local time that of the site."""
        if self.until.endswith("Z"):
            return datetime.strptime(self.until, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
        if "T" in self.until:
            return moment(datetime.strptime(self.until, "%Y%m%dT%H%M%S"), zone)  # noqa: DTZ007 (the site's clock)
        return moment(datetime.strptime(f"{self.until}T235959", "%Y%m%dT%H%M%S"), zone)  # noqa: DTZ007 (the same)


def read_rule(text: str) -> Rule:
    """Read the text of an RRULE.

    Raises ValueError when it isn't one, repeats more often than daily, or is beyond what a plan needs.

    >>> read_rule("FREQ=MONTHLY;INTERVAL=6;BYDAY=1TU;COUNT=4").count
    4
    """
    parts = _parts(text)
    core = ";".join(f"{name}={value}" for name, value in parts.items() if name not in {"COUNT", "UNTIL"})
    count = _number(parts, "COUNT", MOST_COUNT)
    _number(parts, "INTERVAL", MOST_INTERVAL)
    if "COUNT" in parts and "UNTIL" in parts:
        raise ValueError("a rule ends on a date or after a number of times, not both: leave out COUNT or UNTIL")
    _refuse_bad_until(parts.get("UNTIL", ""))
    _refuse_without_dates(text, core)
    return Rule(";".join(f"{name}={value}" for name, value in parts.items()), core, count, parts.get("UNTIL", ""))


def _parts(text: str) -> dict[str, str]:
    """Return the parts of a rule by name, in their order."""
    if len(text) > LONGEST:
        raise ValueError(f"a rule has at most {LONGEST} characters, this one has {len(text)}")
    parts: dict[str, str] = {}
    for part in text.strip().upper().removeprefix("RRULE:").split(";"):
        name, equals, value = part.partition("=")
        if not equals or not value or name in parts:
            raise ValueError(f"{part!r} can't stand in a rule: write one such as FREQ=MONTHLY;INTERVAL=6")
        parts[name] = value
    allowed = PARTS.get(parts.get("FREQ", ""))
    if allowed is None:
        raise ValueError(f"FREQ must be one of {', '.join(PARTS)}: nothing is visited more often than daily")
    if wrong := parts.keys() - allowed:
        raise ValueError(
            f"{sorted(wrong)[0]} can't stand in the rule of a plan with FREQ={parts['FREQ']}: leave it out"
        )
    _refuse_bad_days(parts)
    return parts


def _refuse_bad_days(parts: dict[str, str]) -> None:
    for name, most in LIMITS.items():
        for word in parts.get(name, "1").split(","):
            if not re.fullmatch(r"-?\d{1,3}", word) or not 1 <= abs(int(word)) <= most:
                raise ValueError(f"{name} must be 1 to {most}, or counted from the end -1 to -{most}, got {word!r}")
    if parts["FREQ"] in {"DAILY", "WEEKLY"} and re.search(r"\d", parts.get("BYDAY", "")):
        raise ValueError("only rules by the month or year count their days of the week: write BYDAY=TU, not BYDAY=1TU")


def _refuse_without_dates(text: str, core: str) -> None:
    try:
        # Without its interval, from the beginning of a leap year: a rule that gives nothing here never does.
        every = re.sub(r"INTERVAL=\d+;?", "", core).strip(";")
        found = next(iter(rrulestr(every, dtstart=datetime(2000, 1, 1))), None)  # noqa: DTZ001 (only its form is tested)
    except (ValueError, TypeError, AttributeError, KeyError, IndexError) as error:
        raise ValueError(f"{text!r} is no recurrence rule of RFC 5545: {error}") from error
    if found is None:
        raise ValueError(f"{text!r} never gives a date: change its day or its month")


def _number(parts: dict[str, str], name: str, most: int) -> int | None:
    text = parts.get(name)
    if text is None:
        return None
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= most):
        raise ValueError(f"{name} must be a whole number from 1 to {most}, got {text!r}")
    return int(text)


def _refuse_bad_until(text: str) -> None:
    if not text:
        return
    if not UNTIL.fullmatch(text):
        raise ValueError(f"UNTIL must be a date or a date and time such as 20271231T235959, got {text!r}")
    try:
        datetime.fromisoformat(text)
    except ValueError as error:
        raise ValueError(f"UNTIL={text} is no date: {error}") from error


def _expanded(core: str, first: datetime, end: datetime) -> Iterator[datetime]:
    """Yield the local times of a rule that has no end of its own."""
    if end < first:
        return
    parsed = rrulestr(core, dtstart=first)
    assert isinstance(parsed, rrule)
    yield from parsed.replace(until=end)


def _years_after(day: date) -> date:
    return date(min(day.year + YEARS_AHEAD, 9000), 12, 31)


def moment(local: datetime, zone: ZoneInfo) -> datetime:
    """Return the UTC moment of a naive local time; a skipped one counts with the offset before the gap.

    >>> moment(datetime(2027, 3, 28, 1, 30), ZoneInfo("Europe/London")).isoformat()
    '2027-03-28T01:30:00+00:00'
    """
    return local.replace(tzinfo=zone, fold=0).astimezone(UTC)


def first_date(rule: Rule, wanted: date) -> date:
    """Return the first date on or after `wanted` that fits the rule's days; its interval counts from there.

    Every 6 months on the 15th, wanted from 20 November: 15 December, not 15 May.

    Raises ValueError when the rule has ended by then.
    """
    every = re.sub(r"INTERVAL=\d+;?", "", rule.core).strip(";")
    parsed = rrulestr(every, dtstart=datetime.combine(wanted, time.min))
    found: datetime = next(iter(parsed))
    if rule.until and f"{found:%Y%m%d}" > rule.until[:8]:
        raise ValueError(f"the rule ends before its first date, {found:%d %b %Y}: let it end later")
    return found.date()
