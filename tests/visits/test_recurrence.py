"""Rules against the examples of RFC 5545 and against calendar arithmetic (tests/reference/recurrence.json)."""

import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from registry.visits.counting import next_after
from registry.visits.recurrence import first_date, moment, read_rule

ROWS = json.loads((Path(__file__).parent.parent / "reference" / "recurrence.json").read_text(encoding="utf-8"))["rows"]
CHECKS = [row for row in ROWS if row["use"] == "check"]
TRAPS = [row for row in ROWS if row["use"] == "trap"]
FAR = date(2040, 1, 1)
LONDON, NEW_YORK = ZoneInfo("Europe/London"), ZoneInfo("America/New_York")


def dates(rule: str, first: str, zone: ZoneInfo = LONDON, before: date = FAR) -> list[str]:
    found = read_rule(rule).dates(datetime.fromisoformat(first), zone, before=before)
    return [each.date.isoformat() for each in found]


def test_every_row_of_the_table_is_tested() -> None:
    assert [row["id"] for row in ROWS if row not in CHECKS + TRAPS] == []
    assert len({row["id"] for row in ROWS}) == len(ROWS)


@pytest.mark.parametrize("row", CHECKS, ids=lambda row: row["id"])
def test_published_examples(row: dict[str, Any]) -> None:
    wanted = row["expected_dates"]
    last = date.fromisoformat(wanted[-1]) + timedelta(days=1)
    found = dates(row["rrule"], row["dtstart"], ZoneInfo(row["tzid"]), FAR if row["complete"] else last)
    assert found == wanted, f"{row['title']}. Source ({row['basis']}): {row['source']}"


@pytest.mark.parametrize("row", TRAPS, ids=lambda row: row["id"])
def test_the_wrong_example_of_the_rfc_is_by_the_hour_and_is_refused(row: dict[str, Any]) -> None:
    assert row["rrule"].startswith("FREQ=HOURLY")
    with pytest.raises(ValueError, match="nothing is visited more often than daily"):
        read_rule(row["rrule"])


@pytest.mark.parametrize(
    ("zone", "local", "utc"),
    [
        # The European Union changes at 01:00 UTC on the last Sundays of March and October (directive 2000/84/EC); the
        # United States at 02:00 local time on the second Sunday of March and the first of November (15 U.S.C. 260a).
        (LONDON, "2027-03-27T09:00", "2027-03-27T09:00"),
        (LONDON, "2027-03-28T09:00", "2027-03-28T08:00"),
        (LONDON, "2027-10-30T09:00", "2027-10-30T08:00"),
        (LONDON, "2027-10-31T09:00", "2027-10-31T09:00"),
        (NEW_YORK, "2027-03-14T09:00", "2027-03-14T13:00"),
        (NEW_YORK, "2027-11-07T09:00", "2027-11-07T14:00"),
        # RFC 5545, section 3.3.5: "if the local time does not occur, … interpreted using the UTC offset before the
        # gap"; "if it occurs more than once, … the first occurrence". These two are its own examples.
        (NEW_YORK, "2007-03-11T02:30", "2007-03-11T07:30"),
        (NEW_YORK, "2007-11-04T01:30", "2007-11-04T05:30"),
        (LONDON, "2027-03-28T01:30", "2027-03-28T01:30"),
        (LONDON, "2027-10-31T01:30", "2027-10-31T00:30"),
    ],
)
def test_the_clock_at_the_site_counts_over_both_changes(zone: ZoneInfo, local: str, utc: str) -> None:
    assert moment(datetime.fromisoformat(local), zone).isoformat() == f"{utc}:00+00:00"


def test_a_skipped_hour_loses_no_visit() -> None:
    rule = read_rule("FREQ=DAILY;COUNT=3").dates(datetime.fromisoformat("2027-03-27T01:30"), LONDON, before=FAR)
    assert [each.starts_at.hour for each in rule] == [1, 1, 0]


@pytest.mark.parametrize(
    ("rule", "first", "wanted"),
    [
        # RFC 5545, section 3.3.10: a date that doesn't exist is ignored, not put on another day.
        ("FREQ=MONTHLY;BYMONTHDAY=31;COUNT=3", "2027-01-31T09:00", ["2027-01-31", "2027-03-31", "2027-05-31"]),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29;COUNT=3", "2028-02-29T09:00", ["2028-02-29", "2032-02-29", "2036-02-29"]),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1;COUNT=3", "2027-02-28T09:00", ["2027-02-28", "2028-02-29", "2029-02-28"]),
        ("FREQ=WEEKLY;INTERVAL=2;BYDAY=MO;UNTIL=20270118T235959", "2027-01-04T23:30", ["2027-01-04", "2027-01-18"]),
        ("FREQ=WEEKLY;BYDAY=MO;UNTIL=20270111", "2027-01-04T09:00", ["2027-01-04", "2027-01-11"]),
    ],
)  # fmt: skip
def test_days_that_not_every_month_has_and_ends(rule: str, first: str, wanted: list[str]) -> None:
    assert dates(rule, first) == wanted


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "can't stand in a rule"),
        ("FREQ=HOURLY", "FREQ must be one of"),
        ("FREQ=SECONDLY;COUNT=5", "FREQ must be one of"),
        ("INTERVAL=2", "FREQ must be one of"),
        ("FREQ=DAILY;BYHOUR=9", "BYHOUR can't stand"),
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", "BYMONTHDAY can't stand"),
        ("FREQ=WEEKLY;BYDAY=1MO", "count their days"),
        ("FREQ=MONTHLY;BYDAY=XX", "is no recurrence rule"),
        ("FREQ=MONTHLY;BYMONTHDAY=0", "BYMONTHDAY must be 1 to 31"),
        ("FREQ=MONTHLY;BYMONTHDAY=32", "BYMONTHDAY must be 1 to 31"),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "never gives a date"),
        ("FREQ=MONTHLY;COUNT=0", "COUNT must be"),
        ("FREQ=MONTHLY;INTERVAL=100000", "INTERVAL must be"),
        ("FREQ=MONTHLY;COUNT=2;UNTIL=20270101", "not both"),
        ("FREQ=MONTHLY;UNTIL=20271341", "is no date"),
        ("FREQ=MONTHLY;UNTIL=soon", "UNTIL must be"),
        ("FREQ=MONTHLY;FREQ=WEEKLY", "can't stand in a rule"),
        ("FREQ=MONTHLY;X-NOTE=1", "X-NOTE can't stand"),
        ("FREQ=MONTHLY;" + "BYDAY=MO," * 40, "at most 200 characters"),
    ],
)
def test_what_is_no_rule_of_a_plan_is_refused_with_what_to_do(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        read_rule(text)


def test_the_interval_counts_from_the_first_day_that_fits() -> None:
    rule = read_rule("FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=15")
    first = first_date(rule, date(2026, 11, 20))
    assert first == date(2026, 12, 15)
    assert dates(rule.text, f"{first}T09:00", before=date(2028, 1, 1)) == ["2026-12-15", "2027-06-15", "2027-12-15"]


def test_a_rule_that_ended_before_its_first_date_is_refused() -> None:
    with pytest.raises(ValueError, match="let it end later"):
        first_date(read_rule("FREQ=MONTHLY;BYMONTHDAY=15;UNTIL=20261130T235959"), date(2026, 11, 20))


@pytest.mark.parametrize(
    ("rule", "done", "wanted"),
    [
        ("FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=15", date(2027, 3, 28), date(2027, 9, 15)),
        ("FREQ=MONTHLY;INTERVAL=6;BYDAY=1TU", date(2027, 3, 28), date(2027, 9, 7)),
        ("FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=-1", date(2027, 8, 2), date(2028, 2, 29)),
        ("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", date(2027, 1, 6), date(2027, 1, 22)),
        # Due in October, done in January: the next one is a year after it was done.
        ("FREQ=YEARLY;INTERVAL=1;BYMONTH=10;BYDAY=3TU", date(2027, 1, 12), date(2028, 1, 18)),
        ("FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=15;UNTIL=20270901T235959", date(2027, 3, 28), None),
    ],
)
def test_counted_from_the_day_it_was_done(rule: str, done: date, wanted: date | None) -> None:
    assert next_after(read_rule(rule), done) == wanted


def test_only_plain_rules_count_from_the_day_it_was_done() -> None:
    with pytest.raises(ValueError, match="choose fixed dates"):
        next_after(read_rule("FREQ=DAILY;INTERVAL=10"), date(2027, 1, 1))
