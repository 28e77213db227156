"""Taps of a constant-voltage line: watts, ohms, insertion loss, and what they ask of the amplifier."""

import math
from collections.abc import Sequence
from typing import Final

from registry.engineering.limits import above_zero, share_of_one, zero_or_more

# Common practice: leave 20 % of the amplifier's power unused on a constant-voltage line.
USABLE_SHARE: Final = 0.8


def tap_impedance_ohm(*, line_v: float, tap_w: float) -> float:
    """Impedance that a tap presents to the line: Z = V²/P.

    Parameters:
        line_v: nominal line voltage, above 0 [V].
        tap_w: above 0 [W].
    Returns:
        Impedance [Ω].
    Raises:
        ValueError: a value out of range.
    Source: Joule's law; the handbook table of "70-Volt Loud-Speaker Matching Systems" rounds 70.7² to 5000.

    >>> round(tap_impedance_ohm(line_v=70.7, tap_w=60.0), 1)
    83.3
    """
    above_zero(line_v=line_v, tap_w=tap_w)
    return line_v**2 / tap_w


def tap_power_w(*, rated_w: float, rated_v: float, line_v: float) -> float:
    """Power of a tap on another line voltage than its own: P = P_rated (V/V_rated)².

    Parameters:
        rated_w: the tap at its own voltage, above 0 [W].
        rated_v: the voltage the tap is meant for, above 0 [V].
        line_v: the voltage it gets, above 0 [V].
    Returns:
        Power [W]. More than rated_w overloads transformer and loudspeaker.
    Raises:
        ValueError: a value out of range.
    Source: Joule's law at a fixed impedance.

    >>> round(tap_power_w(rated_w=10.0, rated_v=70.7, line_v=100.0), 2)
    20.01
    """
    above_zero(rated_w=rated_w, rated_v=rated_v, line_v=line_v)
    return rated_w * (line_v / rated_v) ** 2


def primary_power_w(*, tap_w: float, insertion_loss_db: float) -> float:
    """Power that a tap takes from the line so that its watts reach the loudspeaker: P = tap × 10^(loss/10).

    Parameters:
        tap_w: above 0 [W].
        insertion_loss_db: of the transformer, 0 or more [dB].
    Returns:
        Power at the primary [W].
    Raises:
        ValueError: a value out of range.
    Source: "A Detailed Guide To Constant-Voltage Audio Systems", appendix on transformer insertion loss.

    >>> round(primary_power_w(tap_w=1.0, insertion_loss_db=1.0), 4)
    1.2589
    """
    above_zero(tap_w=tap_w)
    zero_or_more(insertion_loss_db=insertion_loss_db)
    return float(tap_w * 10 ** (insertion_loss_db / 10))


def largest_equal_tap_w(*, amplifier_w: float, loudspeakers: int, usable_share: float = 1.0) -> float:
    """Largest tap that every one of a number of loudspeakers may have: P / n.

    Parameters:
        amplifier_w: rated power at the line voltage, above 0 [W].
        loudspeakers: 1 or more.
        usable_share: share of the rated power to use, above 0 up to 1; 0.8 leaves the usual margin.
    Returns:
        Tap [W]; set the next lower tap that the loudspeaker has.
    Raises:
        ValueError: a value out of range.
    Source: watts add up on a constant-voltage line; common practice.

    >>> largest_equal_tap_w(amplifier_w=50.0, loudspeakers=10)
    5.0
    """
    above_zero(amplifier_w=amplifier_w, loudspeakers=loudspeakers)
    share_of_one(usable_share=usable_share)
    return usable_share * amplifier_w / loudspeakers


def tap_sum_w(taps_w: Sequence[float]) -> float:
    """Sum of the taps on a line: the running tally of watts.

    Parameters:
        taps_w: each above 0 [W].
    Returns:
        Sum [W]; 0 for no taps.
    Raises:
        ValueError: a tap out of range.
    Source: watts add up on a constant-voltage line; handbook example 6 + 10 + 10 = 26 W.

    >>> tap_sum_w([6.0, 10.0, 10.0])
    26.0
    """
    for tap_w in taps_w:
        above_zero(tap_w=tap_w)
    return math.fsum(taps_w)
