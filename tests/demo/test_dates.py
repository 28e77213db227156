"""All dates of the survey move together, by whole weeks."""

from datetime import date, timedelta

import pytest

from registry.demo.dates import moved, until, weeks_until

FILES = {
    "equipment.csv": b"tag,installed_on,warranty_until\nA,2025-01-07,\nB,,2027-01-07\n",
    "levels.csv": b'zone,taken_at\n"Hall, east",2025-01-07T07:05\nHall,2025-03-04T07:05\n',
}


@pytest.mark.parametrize("day", range(1, 15))
def test_the_newest_fact_lies_two_to_eight_days_back_on_any_day_of_the_week(day: int) -> None:
    today = date(2026, 2, day)
    by = weeks_until(FILES, today)
    assert by.days % 7 == 0
    assert timedelta(days=2) <= today - (date(2025, 3, 4) + by) <= timedelta(days=8)


def test_days_and_times_move_and_nothing_else_does() -> None:
    files = moved(FILES, timedelta(weeks=2))
    assert files["equipment.csv"] == b"tag,installed_on,warranty_until\nA,2025-01-21,\nB,,2027-01-21\n"
    assert files["levels.csv"] == b'zone,taken_at\n"Hall, east",2025-01-21T07:05\nHall,2025-03-18T07:05\n'


def test_a_survey_until_a_day_leaves_out_what_was_read_later_and_keeps_the_rest() -> None:
    files = until(FILES, date(2025, 1, 7))
    assert files["equipment.csv"] == FILES["equipment.csv"]
    assert files["levels.csv"] == b'zone,taken_at\n"Hall, east",2025-01-07T07:05\n'
