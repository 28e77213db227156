"""The form's plain choices: to a rule and back, in words, with a warning where a month is left out."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.visits.recurrence import read_rule
from registry.visits.rule_choices import Choices, On, Unit, choices_of, rule_words


def month(on: On, every: int = 1, **more: int) -> Choices:
    return Choices(every=every, unit=Unit.MONTH, on=on, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("choices", "rule", "words"),
    [
        (Choices(every=2, unit=Unit.WEEK, weekday=1), "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU", "every 2 weeks on Tuesday"),
        (
            month(On.DAY, 6, month_day=15),
            "FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=15",
            "every 6 months on the 15th",
        ),
        (
            month(On.LAST_DAY),
            "FREQ=MONTHLY;INTERVAL=1;BYMONTHDAY=-1",
            "every month on the last day of the month",
        ),
        (
            month(On.WEEKDAY, 3, nth=-1, weekday=4),
            "FREQ=MONTHLY;INTERVAL=3;BYDAY=-1FR",
            "every 3 months on the last Friday",
        ),
        (
            Choices(every=1, unit=Unit.YEAR, nth=3, weekday=1, month=10, count=4),
            "FREQ=YEARLY;INTERVAL=1;BYMONTH=10;BYDAY=3TU;COUNT=4",
            "every year on the third Tuesday of October, 4 times",
        ),
        (
            Choices(every=1, unit=Unit.YEAR, on=On.DAY, month_day=1, month=2, until=date(2030, 2, 1)),
            "FREQ=YEARLY;INTERVAL=1;BYMONTH=2;BYMONTHDAY=1;UNTIL=20300201T235959",
            "every year on the 1st of February, until 1 Feb 2030",
        ),
    ],
)
def test_choices_are_a_rule_and_a_rule_is_choices(choices: Choices, rule: str, words: str) -> None:
    assert choices.rule() == rule
    assert choices_of(read_rule(rule)) == choices
    assert rule_words(rule) == words


@given(
    unit=st.sampled_from(Unit),
    on=st.sampled_from(On),
    every=st.integers(1, 60),
    month_day=st.integers(1, 28),
    nth=st.sampled_from([1, 2, 3, 4, -1]),
    weekday=st.integers(0, 6),
    in_month=st.integers(1, 12),
)
def test_any_choice_comes_back_as_the_same_rule(
    unit: Unit, on: On, every: int, month_day: int, nth: int, weekday: int, in_month: int
) -> None:
    chosen = Choices(
        every=every, unit=unit, on=on, month_day=month_day, nth=nth, weekday=weekday, month=in_month
    ).rule()
    shown = choices_of(read_rule(chosen))
    assert shown is not None
    assert shown.rule() == chosen


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=DAILY;INTERVAL=10",
        "FREQ=WEEKLY;BYDAY=TU,TH",
        "FREQ=MONTHLY",
        "FREQ=MONTHLY;BYMONTHDAY=-3",
        "FREQ=MONTHLY;BYMONTH=3;BYMONTHDAY=1",
        "FREQ=YEARLY;BYDAY=20MO",
        "FREQ=MONTHLY;BYMONTHDAY=1;UNTIL=20271231T000000Z",
    ],
)
def test_other_rules_are_kept_but_not_shown_as_choices(rule: str) -> None:
    assert choices_of(read_rule(rule)) is None
    assert rule in rule_words(rule)


@pytest.mark.parametrize(
    ("choices", "first", "says"),
    [
        (month(On.DAY, month_day=31), date(2027, 1, 31), "No visit in February, April, June, September and November"),
        (month(On.DAY, 6, month_day=31), date(2027, 8, 31), "No visit in February:"),
        (month(On.DAY, 12, month_day=31), date(2027, 8, 31), ""),
        (month(On.DAY, month_day=30), date(2027, 1, 30), "No visit in February:"),
        (month(On.DAY, month_day=29), date(2027, 1, 29), "in leap years only"),
        (Choices(every=1, unit=Unit.YEAR, on=On.DAY, month_day=29, month=2), date(2028, 2, 29), "in leap years only"),
        (month(On.DAY, month_day=28), date(2027, 1, 28), ""),
        (month(On.LAST_DAY), date(2027, 1, 31), ""),
    ],
)
def test_a_day_that_some_months_lack_is_warned_of(choices: Choices, first: date, says: str) -> None:
    said = choices.skips(first)
    assert said.startswith(says) or says in said
    assert bool(said) == bool(says)
