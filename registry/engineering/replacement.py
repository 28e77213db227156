"""When equipment is expected to need replacing, what that costs by year, and what to put aside each year.

Money is Decimal throughout: sums that an owner adds up must come out to the last unit.
"""

from calendar import monthrange
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from registry.engineering.useful_life import UsefulLife

AGE_BANDS: Final = ((4, "0 to 3 years"), (8, "4 to 7 years"), (12, "8 to 11 years"))
OLDEST: Final = "12 years or more"
YEAR_DAYS: Final = 365.25
MOST_INFLATION: Final = Decimal(25)


@dataclass(frozen=True, slots=True)
class Replaceable:
    """What one replacement depends on; None is not known."""

    price: Decimal | None
    life: UsefulLife | None
    installed_on: date | None = None
    support_until: date | None = None

    @property
    def expected_end(self) -> date | None:
        """The day on which the first of support and useful life ends."""
        return expected_end(self.installed_on, self.life.years if self.life else None, self.support_until)


def years_after(day: date, years: float) -> date:
    """Return the day some years later, in whole months; a day that the month lacks becomes its last one.

    Parameters: `day`; `years` 0 or more, up to the calendar's end.
    Raises: ValueError beyond the year 9999, or for years below 0.
    Source: ISO 8601 calendar arithmetic; rounding to months is ours.

    >>> years_after(date(2024, 2, 29), 1), years_after(date(2024, 9, 23), 6.5)
    (datetime.date(2025, 2, 28), datetime.date(2031, 3, 23))
    """
    if years < 0:
        raise ValueError(f"years must be 0 or more, got {years}")
    months = day.year * 12 + day.month - 1 + round(years * 12)
    year, month = divmod(months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def expected_end(installed_on: date | None, life_years: float | None, support_until: date | None) -> date | None:
    """Return the first of support end and end of useful life; None when neither is known.

    Parameters: day of installation, useful life [years], last day of the maker's support; None for what is not known.
    Raises: ValueError for years below 0.
    Source: common practice: replacement year = min(support end, installed + useful life).

    >>> expected_end(date(2024, 9, 23), 10, date(2030, 12, 31)), expected_end(None, 10, None)
    (datetime.date(2030, 12, 31), None)
    """
    worn = years_after(installed_on, life_years) if installed_on and life_years is not None else None
    return min((day for day in (worn, support_until) if day), default=None)


def whole_years(since: date, today: date) -> int:
    """Return the full years that have passed.

    Parameters: `since` not after `today`.
    Raises: nothing; a day ahead counts as 0 years.
    Source: the way in which people count birthdays.

    >>> whole_years(date(2022, 11, 26), date(2026, 11, 25)), whole_years(date(2022, 11, 25), date(2026, 11, 25))
    (3, 4)
    """
    return max(0, today.year - since.year - ((today.month, today.day) < (since.month, since.day)))


def age_band(installed_on: date | None, today: date) -> str | None:
    """Return the band of an age in full years; None when it is not known.

    Parameters: day of installation or None; `today`.
    Raises: nothing.
    Source: common practice: four bands and the unknown.

    >>> age_band(date(2014, 11, 26), date(2026, 11, 25)), age_band(date(2014, 11, 25), date(2026, 11, 25))
    ('8 to 11 years', '12 years or more')
    """
    if installed_on is None:
        return None
    age = whole_years(installed_on, today)
    return next((words for below, words in AGE_BANDS if age < below), OLDEST)


def future_price(price: Decimal, inflation_percent: Decimal, years: int) -> Decimal:
    """Return what costs `price` today some years on: price · (1 + inflation)^years, not rounded.

    Parameters: `price` 0 or more; inflation 0 to 25 % a year, compounded once a year; `years` 0 or more.
    Raises: ValueError outside these ranges.
    Source: compound interest, future value of a present sum, as in every textbook of engineering economics.

    >>> future_price(Decimal(1000), Decimal(5), 3)
    Decimal('1157.625000')
    """
    if not 0 <= inflation_percent <= MOST_INFLATION:
        raise ValueError(f"inflation must be 0 to {MOST_INFLATION} % a year, got {inflation_percent}")
    if price < 0 or years < 0:
        raise ValueError(f"price and years must be 0 or more, got {price} and {years}")
    return price * (1 + inflation_percent / 100) ** years


def replacement_years(end: date, life_years: float | None, today: date, years: int) -> Iterator[int | None]:
    """Yield the years in which something is replaced: None for "now", when its day has passed, then again and again.

    Parameters: `end` the expected end; useful life [years] of what comes after it, None for no further one; `years`
    the number of calendar years to look at, this one first.
    Raises: ValueError for a life of no month at all.
    Source: common practice: a replacement is itself replaced after the same useful life.

    >>> list(replacement_years(date(2025, 3, 1), 4, date(2026, 11, 25), 10))
    [None, 2030, 2034]
    """
    if life_years is not None and round(life_years * 12) < 1:
        raise ValueError(f"useful life must be a month or more, got {life_years} years")
    last = today.year + years - 1
    if end < today:
        yield None
        if life_years is None:
            return
        end = years_after(today, life_years)
    while end.year <= last:
        yield end.year
        if life_years is None:
            return
        end = years_after(end, life_years)


def yearly_provision(things: Iterable[Replaceable]) -> Decimal:
    """Return what to put aside each year at today's prices: the sum of price ÷ useful life, not rounded.

    Parameters: `things`; those without a price or a useful life add nothing: count them beside the sum.
    Raises: nothing.
    Source: straight-line provision (common practice).

    >>> switch, twelve = UsefulLife(8, "published", ""), UsefulLife(12, "published", "")
    >>> yearly_provision([Replaceable(Decimal(400), switch), Replaceable(None, twelve)])
    Decimal('50')
    """
    shares = (each.price / Decimal(str(each.life.years)) for each in things if each.price is not None and each.life)
    return sum(shares, Decimal(0))


def in_units(amount: Decimal) -> int:
    """Return an amount in whole units of its currency, halves up.

    Parameters: `amount`, any.
    Raises: nothing.
    Source: commercial rounding.

    >>> in_units(Decimal("1157.50")), in_units(Decimal("0.49"))
    (1158, 0)
    """
    return int(amount.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def life_left(end: date | None, today: date) -> float | None:
    """Return the years until a day, to a tenth; below 0 when it has passed, None when it is not known.

    Parameters: `end` or None; `today`.
    Raises: nothing.
    Source: mean year of the Julian calendar, 365.25 days.

    >>> life_left(date(2028, 5, 26), date(2026, 11, 25)), life_left(date(2025, 4, 8), date(2026, 11, 25))
    (1.5, -1.6)
    """
    return None if end is None else round((end - today).days / YEAR_DAYS, 1)
