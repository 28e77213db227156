"""Scales of charts: round steps, dates along a time axis, values to drawing units and back to words."""

from collections.abc import Callable
from datetime import date, timedelta
from math import ceil, floor, log10

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def round_step(span: float, *, at_most: int = 6) -> float:
    """Return the smallest step of 1, 2 or 5 times a power of ten that cuts a span into at most so many parts.

    Parameters:
        span: above 0, in the unit of the axis.
        at_most: number of parts, 1 or more.
    Returns: the step, in the unit of the axis.
    Raises: ValueError for a span that is not above 0 or fewer than one part.
    Source: common practice.

    >>> round_step(13), round_step(100, at_most=5), round_step(0.7)
    (5.0, 20.0, 0.2)
    """
    if not span > 0 or at_most < 1:
        raise ValueError(f"span must be above 0 and at_most 1 or more, got {span} and {at_most}")
    power = 10.0 ** floor(log10(span / at_most))
    return next(float(power * factor) for factor in (1, 2, 5, 10) if span <= power * factor * at_most * (1 + 1e-9))


def ticks(low: float, high: float, *, at_most: int = 6) -> list[float]:
    """Return the multiples of a round step from `low` to `high`, both included.

    Parameters:
        low, high: ends of the axis, low below high.
        at_most: number of parts, 1 or more.
    Returns: rising values, in the unit of the axis.
    Raises: ValueError when low is not below high.
    Source: common practice.

    >>> ticks(61.2, 72.9)
    [62.0, 64.0, 66.0, 68.0, 70.0, 72.0]
    """
    step = round_step(high - low, at_most=at_most)
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [round(at * step, 9) for at in range(first, last + 1)]


def linear(low: float, high: float, *, start: float, end: float) -> Callable[[float], float]:
    """Return the function that puts a value on an axis: start + (value − low) · (end − start) / (high − low).

    Parameters:
        low, high: ends of the axis, in its unit; they differ.
        start, end: where they are drawn, in drawing units.
    Returns: a function from value to drawing units.
    Raises: ValueError when low and high are the same.
    Source: common practice.

    >>> linear(60, 80, start=200, end=0)(65)
    150.0
    """
    if low == high:
        raise ValueError(f"An axis needs two different ends, got {low} twice")
    return lambda value: start + (value - low) * (end - start) / (high - low)


def date_ticks(first: date, last: date, *, at_most: int = 4) -> list[tuple[date, str]]:
    """Return dates to be named along a time axis: years, else months, else the first day.

    Parameters:
        first, last: ends of the axis, first not after last.
        at_most: number of names, 1 or more.
    Returns: rising dates with their names.
    Raises: ValueError when first is after last.
    Source: common practice; month names in English.

    >>> date_ticks(date(2024, 1, 20), date(2024, 6, 3))
    [(datetime.date(2024, 2, 1), 'Feb 2024'), (datetime.date(2024, 4, 1), 'Apr 2024'), \
(datetime.date(2024, 6, 1), 'Jun 2024')]
    """
    if first > last:
        raise ValueError(f"The time axis must not end before it begins, got {first} to {last}")
    years = [date(year, 1, 1) for year in range(first.year, last.year + 1) if first <= date(year, 1, 1) <= last]
    if len(years) > 2:
        return [(day, str(day.year)) for day in _thinned(years, at_most)]
    months = [date(year, month, 1) for year in range(first.year, last.year + 1) for month in range(1, 13)]
    inside = [day for day in months if first <= day <= last]
    if not inside:
        return [(first, day_words(first))]
    return [(day, f"{_MONTHS[day.month - 1]} {day.year}") for day in _thinned(inside, at_most)]


def day_words(day: date) -> str:
    """Return a day in words that no country reads differently.

    Parameters:
        day: any date.
    Returns: day, month name, year.
    Raises: nothing.
    Source: common practice.

    >>> day_words(date(2024, 3, 12))
    '12 Mar 2024'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def padded_dates(days: list[date]) -> tuple[date, date]:
    """Return the ends of a time axis with a little room on both sides.

    Parameters:
        days: one or more.
    Returns: first and last day of the axis.
    Raises: ValueError for no days.
    Source: ours: a twentieth of the span, seven days or more.

    >>> padded_dates([date(2024, 3, 12)])
    (datetime.date(2024, 3, 5), datetime.date(2024, 3, 19))
    """
    if not days:
        raise ValueError("A time axis needs a day or more, got none")
    room = timedelta(days=max(7, (max(days) - min(days)).days // 20))
    return min(days) - room, max(days) + room


def _thinned(days: list[date], at_most: int) -> list[date]:
    return days[:: max(1, ceil(len(days) / at_most))]
