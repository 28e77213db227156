"""The calendar file by the letter of RFC 5545, and as an independent parser (vobject) reads it."""

import re
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from registry.exchange.calendar import CalendarVisit, calendar_file

CHANGED = datetime(2027, 3, 1, 10, 30, 15, 999, tzinfo=UTC)
# RFC 5545, section 3.6.1: UID and DTSTAMP once; DTSTART once where there is no METHOD; DTEND not with DURATION.
REQUIRED = {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "STATUS", "SEQUENCE", "LAST-MODIFIED"}


def visit(**given: Any) -> CalendarVisit:
    # 08:00 in London on the day after summer time began.
    at = datetime(2027, 3, 29, 8, 0, tzinfo=ZoneInfo("Europe/London"))
    usual = {"uid": "visit-1@example.com", "title": "Check", "site": "North Hall", "starts_at": at, "minutes": 90}
    return CalendarVisit(**{**usual, "changes": 3, "changed_at": CHANGED, **given})


def unfolded(content: bytes) -> list[str]:
    """Section 3.1: a line break followed by a space is no line break."""
    return content.replace(b"\r\n ", b"").decode("utf-8").split("\r\n")[:-1]


def check_lines(content: bytes) -> None:
    assert content.endswith(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert b"\r" not in content.replace(b"\r\n", b"")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75, "section 3.1: lines of more than 75 octets"
    for line in unfolded(content):
        assert re.fullmatch(r'[A-Z0-9-]+(;[A-Z0-9-]+=("[^"]*"|[^";:,]*))*:.*', line), line


def test_every_event_has_what_the_standard_asks_for_once() -> None:
    content = calendar_file("Visits of tech", [visit(), visit(uid="visit-2@example.com", called_off=True)])
    check_lines(content)
    lines = unfolded(content)
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    assert lines.count("VERSION:2.0") == 1
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    assert not [line for line in lines if line.startswith(("METHOD", "RRULE", "BEGIN:VTIMEZONE"))]
    for event in "\n".join(lines).split("BEGIN:VEVENT")[1:]:
        names = [re.split("[:;]", line)[0] for line in event.strip().split("\n")]
        assert {name: names.count(name) for name in REQUIRED} == dict.fromkeys(REQUIRED, 1)


def test_times_are_utc_instants_over_the_change_to_summer_time() -> None:
    lines = unfolded(calendar_file("Visits", [visit()]))
    assert "DTSTART:20270329T070000Z" in lines
    assert "DTEND:20270329T083000Z" in lines
    assert "DTSTAMP:20270301T103015Z" in lines
    assert "SEQUENCE:2" in lines


def test_an_independent_parser_reads_the_same() -> None:
    title = 'Check; "levels", back\\slash\nand a second line – with a long tail of words so that it is folded twice'
    read = vobject.readOne(calendar_file("Visits", [visit(title=title, called_off=True)]).decode())
    event = read.vevent
    assert event.summary.value == f"{title}, North Hall"
    assert event.dtstart.value == datetime(2027, 3, 29, 7, 0, tzinfo=UTC)
    assert event.dtend.value == datetime(2027, 3, 29, 8, 30, tzinfo=UTC)
    assert (event.uid.value, event.status.value, event.transp.value) == (
        "visit-1@example.com",
        "CANCELLED",
        "TRANSPARENT",
    )


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=200))
def test_any_title_stays_one_property(title: str) -> None:
    content = calendar_file("Visits", [visit(title=title)])
    check_lines(content)
    assert vobject.readOne(content.decode()).vevent.summary.value == f"{title}, North Hall"


def test_the_same_visits_are_the_same_file() -> None:
    assert calendar_file("Visits", [visit()]) == calendar_file("Visits", [visit()])


def test_no_visit_is_an_empty_calendar() -> None:
    check_lines(calendar_file("Visits", []))


@pytest.mark.parametrize("changes", [0, 1])
def test_the_first_sequence_is_0(changes: int) -> None:
    assert "SEQUENCE:0" in unfolded(calendar_file("Visits", [visit(changes=changes)]))
