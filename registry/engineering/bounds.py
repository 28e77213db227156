"""The one way this library refuses a value that is out of range: it says the value, what is allowed and what to do."""

import math


def in_range(
    name: str, value: float, low: float, high: float, *, unit: str = "", open_low: bool = False, remedy: str = ""
) -> float:
    """Return the value unchanged, or refuse it.

    Parameters:
        name: what the value is called, for the message.
        value: the figure to look at, in `unit`.
        low, high: the limits in `unit`; `inf` means no limit, and the value must be finite all the same.
        unit: printed behind the figures.
        open_low: the low limit itself is refused.
        remedy: what to do instead, one clause.
    Returns:
        The value.
    Raises:
        ValueError: not finite, below `low` or above `high`.
    Source: our own rule (nothing is clamped or repaired).

    >>> in_range("dial", 30.0, 0.0, 100.0, unit="%")
    30.0
    >>> in_range("dial", 130.0, 0.0, 100.0, unit="%", remedy="turn it down")
    Traceback (most recent call last):
    ValueError: dial is 130.0 %: allowed is 0 to 100 %; turn it down
    """
    too_low = value <= low if open_low else value < low
    if math.isfinite(value) and not too_low and value <= high:
        return value
    spoken = f"{value} {unit}".rstrip()
    raise ValueError(f"{name} is {spoken}: allowed is {_span(low, high, unit, open_low)}{'; ' * bool(remedy)}{remedy}")


def _span(low: float, high: float, unit: str, open_low: bool) -> str:
    """The allowed range in words."""
    tail = f" {unit}" if unit else ""
    if math.isinf(low) and math.isinf(high):
        return f"any finite number{tail}"
    if math.isinf(high):
        return f"{'more than' if open_low else 'at least'} {low:g}{tail}"
    if math.isinf(low):
        return f"at most {high:g}{tail}"
    return f"{'more than ' * open_low}{low:g} to {high:g}{tail}"
