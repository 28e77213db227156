"""Figures, counts and lists as they stand in the sentences of a verdict."""

import math
from collections.abc import Sequence

NUMBER_WORDS = ["No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"]


def figure(value: float) -> str:
    """A number with three significant digits, never an exponent, no trailing zeros.

    Parameters:
        value: any number; inf is written as a word.
    Returns:
        Text such as "1.33".
    Raises:
        ValueError: nan.
    Source: common practice.

    >>> figure(4 / 3), figure(8.0), figure(1256.4), figure(float("inf"))
    ('1.33', '8', '1256', 'infinite')
    """
    if math.isnan(value):
        raise ValueError("a figure must be a number, got nan; leave an unknown one out of the sentence")
    if math.isinf(value):
        return "infinite" if value > 0 else "minus infinite"
    digits = max(0, 2 - math.floor(math.log10(abs(value)))) if value else 0
    text = f"{value:.{digits}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "−")


def counted(count: int, noun: str) -> str:
    """A count with its noun: words up to twelve, then digits.

    Parameters:
        count: 0 or more.
        noun: in the singular; its plural takes an s.
    Returns:
        Text such as "Six loudspeakers".
    Raises:
        ValueError: count below 0.
    Source: common practice.

    >>> counted(6, "loudspeaker"), counted(1, "loudspeaker"), counted(14, "coil")
    ('Six loudspeakers', 'One loudspeaker', '14 coils')
    """
    return f"{number_word(count)} {noun}{'' if count == 1 else 's'}"


def number_word(count: int) -> str:
    """A count in words up to twelve, then in digits.

    Parameters:
        count: 0 or more.
    Returns:
        Text such as "Six" or "14".
    Raises:
        ValueError: count below 0.
    Source: common practice.

    >>> number_word(6), number_word(14)
    ('Six', '14')
    """
    if count < 0:
        raise ValueError(f"count must be 0 or more, got {count}")
    return NUMBER_WORDS[count] if count < len(NUMBER_WORDS) else str(count)


def listed(names: Sequence[str]) -> str:
    """Names in a row with commas and a last "and".

    Parameters:
        names: at least one.
    Returns:
        Text such as "LS1, LS2 and LS3".
    Raises:
        ValueError: no names.
    Source: common practice.

    >>> listed(["LS1", "LS2", "LS3"])
    'LS1, LS2 and LS3'
    """
    if not names:
        raise ValueError("names must hold at least one name, got none")
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
