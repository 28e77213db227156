"""Visits as an iCalendar file (RFC 5545) that calendars subscribe to.

Every visit is written out with its start and end in UTC: what calendar programs make of time zone tables and of rules
differs by an hour in summer. Nothing stands in it that must not lie in somebody else's cloud: no notes on access, no
address, no name of the client's people.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from icalendar import Calendar, Event

PRODUCT: Final = "-//Evenkeel//Visits//EN"
CONTENT_TYPE: Final = "text/calendar; charset=utf-8"


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarVisit:
    """What a calendar shows of a visit. `uid` never changes; `changes` grows with every change of the visit."""

    uid: str
    title: str
    site: str
    starts_at: datetime
    minutes: int
    changes: int
    changed_at: datetime
    called_off: bool = False
    url: str = ""


def calendar_file(name: str, visits: Iterable[CalendarVisit]) -> bytes:
    """Return the file. It has no METHOD: it is read, not sent as an invitation."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", name)
    for visit in visits:
        calendar.add_component(_event(visit))
    written: bytes = calendar.to_ical()
    return written


def _event(visit: CalendarVisit) -> Event:
    event = Event()
    starts_at = visit.starts_at.astimezone(UTC)
    changed_at = visit.changed_at.astimezone(UTC).replace(microsecond=0)
    event.add("uid", visit.uid)
    # Without METHOD both say when the event was last changed (RFC 5545, sections 3.8.7.2 and 3.8.7.3).
    event.add("dtstamp", changed_at)
    event.add("last-modified", changed_at)
    event.add("sequence", max(0, visit.changes - 1))
    event.add("dtstart", starts_at)
    event.add("dtend", starts_at + timedelta(minutes=visit.minutes))
    event.add("summary", f"{visit.title}, {visit.site}")
    event.add("status", "CANCELLED" if visit.called_off else "CONFIRMED")
    event.add("transp", "TRANSPARENT" if visit.called_off else "OPAQUE")
    if visit.url:
        event.add("url", visit.url)
    return event
