"""Useful life, replacement by year and provision, against textbook tables, exact fractions and another calendar."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from registry.engineering.replacement import (
    Replaceable,
    age_band,
    expected_end,
    future_price,
    in_units,
    replacement_years,
    whole_years,
    yearly_provision,
    years_after,
)
from registry.engineering.useful_life import LIVES, UsefulLife, useful_life

TODAY = date(2026, 11, 25)
# Single-payment compound-amount factors (F/P, i, n) as the interest tables of engineering economics textbooks print
# them, to four decimals (from memory).
COMPOUND_AMOUNT = [
    (3, 10, "1.3439"),
    (5, 10, "1.6289"),
    (8, 5, "1.4693"),
    (10, 10, "2.5937"),
    (12, 7, "2.2107"),
    (6, 1, "1.0600"),
]


@pytest.mark.parametrize(("percent", "years", "factor"), COMPOUND_AMOUNT)
def test_future_price_is_the_compound_amount_of_the_textbooks(percent: int, years: int, factor: str) -> None:
    assert round(future_price(Decimal(1), Decimal(percent), years), 4) == Decimal(factor)


@given(st.integers(0, 10**9), st.integers(0, 2500), st.integers(0, 12))
def test_future_price_is_exact(cents: int, hundredths: int, years: int) -> None:
    exact = Fraction(cents, 100) * (1 + Fraction(hundredths, 10_000)) ** years
    found = Fraction(future_price(Decimal(cents) / 100, Decimal(hundredths) / 100, years))
    assert abs(found - exact) <= abs(exact) * Fraction(1, 10**24)


@pytest.mark.parametrize(
    ("price", "percent", "years"), [("-1", "0", 1), ("1", "-1", 1), ("1", "25.1", 1), ("1", "1", -1)]
)
def test_future_price_refuses_what_makes_no_sense(price: str, percent: str, years: int) -> None:
    with pytest.raises(ValueError, match="must be"):
        future_price(Decimal(price), Decimal(percent), years)


def test_yearly_provision_of_the_worked_example() -> None:
    """Derived: 3 endpoints × 600 ÷ 6 + 1 switch × 400 ÷ 8 + 18 loudspeakers × 90 ÷ 15 = 300 + 50 + 108 = 458 a year.

    The three lives are those that the table gives these kinds.
    """
    things = [
        Replaceable(Decimal(3 * 600), useful_life("endpoint")),
        Replaceable(Decimal(400), useful_life("switch")),
        Replaceable(Decimal(18 * 90), useful_life("loudspeaker")),
        Replaceable(None, useful_life("switch")),
        Replaceable(Decimal(1000), None),
    ]
    assert yearly_provision(things) == 458


@given(st.dates(date(1950, 1, 1), date(2100, 12, 31)), st.integers(0, 600))
def test_years_after_agrees_with_dateutil(day: date, months: int) -> None:
    assert years_after(day, months / 12) == day + relativedelta(months=months)


@given(st.dates(date(1950, 1, 1), date(2026, 11, 25)))
def test_whole_years_agree_with_dateutil(day: date) -> None:
    if (day.month, day.day) != (2, 29):  # dateutil lets a leap day's year end on 28 February
        assert whole_years(day, TODAY) == relativedelta(TODAY, day).years


@pytest.mark.parametrize(
    ("installed", "support", "end"),
    [
        (date(2024, 1, 10), None, date(2030, 1, 10)),
        (date(2024, 1, 10), date(2028, 6, 30), date(2028, 6, 30)),
        (date(2024, 1, 10), date(2031, 6, 30), date(2030, 1, 10)),
        (None, date(2031, 6, 30), date(2031, 6, 30)),
        (None, None, None),
    ],
)
def test_the_expected_end_is_the_first_of_support_and_life(
    installed: date | None, support: date | None, end: date | None
) -> None:
    assert expected_end(installed, 6, support) == end


def test_ages_fall_into_the_bands_by_full_years() -> None:
    edges = {3: "0 to 3 years", 4: "4 to 7 years", 7: "4 to 7 years", 8: "8 to 11 years", 11: "8 to 11 years"}
    for years, band in edges.items():
        assert age_band(date(2026 - years, 11, 25), TODAY) == band
    assert age_band(date(2014, 11, 25), TODAY) == "12 years or more"
    assert age_band(date(2014, 11, 26), TODAY) == "8 to 11 years"
    assert age_band(None, TODAY) is None


@pytest.mark.parametrize(
    ("end", "life", "years"),
    [
        (date(2026, 11, 24), None, [None]),
        (date(2026, 11, 25), None, [2026]),
        (date(2026, 12, 31), 4, [2026, 2030, 2034]),
        (date(2020, 1, 1), 12, [None]),
        (date(2035, 12, 31), 1, [2035]),
        (date(2036, 1, 1), 1, []),
    ],
)
def test_years_of_replacement(end: date, life: float | None, years: list[int | None]) -> None:
    assert list(replacement_years(end, life, TODAY, 10)) == years


def test_a_life_of_no_month_is_refused_instead_of_counting_for_ever() -> None:
    with pytest.raises(ValueError, match="a month or more"):
        list(replacement_years(TODAY, 0.01, TODAY, 10))


def test_the_models_own_life_comes_before_that_of_its_kind() -> None:
    assert useful_life("switch", own_years=7) == UsefulLife(7, "recorded", "recorded for this model")
    assert useful_life("switch") == LIVES["switch"]
    assert useful_life("other") is None
    with pytest.raises(ValueError, match="above 0"):
        useful_life("switch", own_years=0)


def test_every_default_life_says_what_it_rests_on() -> None:
    for kind, life in LIVES.items():
        assert life.years > 0, kind
        assert life.source, kind
        assert life.basis in {"published", "estimate", "common practice"}, kind


def test_halves_are_rounded_up() -> None:
    assert [in_units(Decimal(each)) for each in ("0.5", "1.5", "2.5", "2.49")] == [1, 2, 3, 2]
