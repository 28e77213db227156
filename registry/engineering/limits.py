"""Refusals of several named values at once, by the same rule as bounds."""

import math

from registry.engineering.bounds import in_range


def above_zero(**values: float) -> None:
    """Refuse any value that is 0, below, or not finite.

    Parameters:
        values: by name, each in the unit that the name ends with.
    Raises:
        ValueError: the first one out of range, by name.
    Source: our own rule (nothing is clamped or repaired).

    >>> above_zero(tap_w=6.0, line_v=0.0)
    Traceback (most recent call last):
    ValueError: line_v is 0.0: allowed is more than 0; leave it out when it is not known
    """
    for name, value in values.items():
        in_range(name, value, 0, math.inf, open_low=True, remedy="leave it out when it is not known")


def zero_or_more(**values: float) -> None:
    """Refuse any value below 0, or not finite.

    Parameters:
        values: by name, each in the unit that the name ends with.
    Raises:
        ValueError: the first one out of range, by name.
    Source: our own rule (nothing is clamped or repaired).

    >>> zero_or_more(length_m=-1.0)
    Traceback (most recent call last):
    ValueError: length_m is -1.0: allowed is at least 0; leave it out when it is not known
    """
    for name, value in values.items():
        in_range(name, value, 0, math.inf, remedy="leave it out when it is not known")


def share_of_one(**values: float) -> None:
    """Refuse any value outside 0 to 1, 0 itself included.

    Parameters:
        values: shares by name.
    Raises:
        ValueError: the first one out of range, by name.
    Source: our own rule (nothing is clamped or repaired).

    >>> share_of_one(efficiency=90)
    Traceback (most recent call last):
    ValueError: efficiency is 90: allowed is more than 0 to 1; 0.9 means 90 %
    """
    for name, value in values.items():
        in_range(name, value, 0, 1, open_low=True, remedy="0.9 means 90 %")
