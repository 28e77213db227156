"""The level control that staff touch: what a dial and its cap give, and the cap or dial that gives what is wanted."""

import itertools
import math
from collections.abc import Sequence
from typing import Final, Literal, TypeAlias

from registry.engineering.bounds import in_range

# A taper tells how many dB a position of the control gives: "linear" amplitude, "audio" (even in dB), or measured
# points of (position %, level dB) from low to high.
Points: TypeAlias = Sequence[tuple[float, float]]
Taper: TypeAlias = Literal["linear", "audio"] | Points

AUDIO_TRAVEL_DB: Final = 60.0  # common practice: the range of an audio taper over its whole travel
DEFAULT_POSITION: Final = 50.0  # common practice: room to go both ways


def output_percent(dial: float, cap: float) -> float:
    """Where the control stands in effect: dial × cap / 100.

    Parameters:
        dial: what staff see, 0 to 100 [%].
        cap: the upper limit, above 0 to 100 [%].
    Returns:
        Position of the uncapped control [%].
    Raises:
        ValueError: out of range.
    Source: common practice (output follows dial × cap).

    >>> output_percent(50.0, 76.0)
    38.0
    """
    _percent("dial", dial)
    _percent("cap", cap, open_low=True)
    return dial * cap / 100


def cap_for(dial: float, cap: float = 100.0, default_position: float = DEFAULT_POSITION) -> float:
    """The cap that gives today's output with the dial at its default position: dial × cap / default position.

    Parameters:
        dial: where the dial stands now, above 0 to 100 [%].
        cap: the cap now, above 0 to 100 [%]; 100 is none.
        default_position: where the dial shall stand for the same output, above 0 to 100 [%].
    Returns:
        The new cap, up to 100 [%].
    Raises:
        ValueError: out of range, or the new cap would pass 100 %; says what to do instead.
    Source: common practice (30 % uncapped is a 60 % cap at 50 %; 38 % is 76 %).

    >>> cap_for(30.0), cap_for(38.0)
    (60.0, 76.0)
    >>> cap_for(80.0)
    Traceback (most recent call last):
    ValueError: dial 80 % under cap 100 % would need a cap of 160 % at the default position 50 %: a cap ends at 100 %; \
raise the gain before this control by 4.1 dB (linear taper), or set the default position to 80 % or more
    """
    _percent("dial", dial, open_low=True)
    _percent("default_position", default_position, open_low=True)
    output = output_percent(dial, cap)
    wanted = _percent_of(output, default_position)
    if wanted <= 100:
        return wanted
    raise ValueError(
        f"dial {dial:g} % under cap {cap:g} % would need a cap of {wanted:.4g} % at the default position "
        f"{default_position:g} %: a cap ends at 100 %; raise the gain before this control by "
        f"{20 * math.log10(wanted / 100):.1f} dB (linear taper), or set the default position to "
        f"{math.ceil(round(output, 6)):g} % or more"
    )


def dial_under(new_cap: float, *, dial: float, cap: float) -> float:
    """The dial position that gives the same output under another cap: dial × cap / new cap.

    Parameters:
        new_cap: above 0 to 100 [%].
        dial: the position under the old cap, 0 to 100 [%].
        cap: the old cap, above 0 to 100 [%].
    Returns:
        The position under the new cap [%].
    Raises:
        ValueError: out of range, or the new cap does not reach that output.
    Source: common practice (output follows dial × cap).

    >>> dial_under(60.0, dial=30.0, cap=100.0)
    50.0
    """
    _percent("new_cap", new_cap, open_low=True)
    output = output_percent(dial, cap)
    position = _percent_of(output, new_cap)
    if position <= 100:
        return position
    raise ValueError(
        f"dial {dial:g} % under cap {cap:g} % would be dial {position:.4g} % under cap {new_cap:g} %: a dial ends at "
        f"100 %; choose a cap of {math.ceil(round(output, 6)):g} % or more"
    )


def drive_db(dial: float, cap: float = 100.0, taper: Taper = "linear") -> float:
    """Level that a dial gives re full output: linear 20 lg(p/100), audio 60 (p/100 − 1), where p = dial × cap / 100.

    A measured taper is read between its points along straight lines in dB and keeps the reference of its points.

    Parameters:
        dial: 0 to 100 [%].
        cap: above 0 to 100 [%].
        taper: "linear", "audio" (60 dB over the travel) or points (position [%], level [dB]), positions rising and
            levels never falling.
    Returns:
        Level [dB]; −inf where a linear control is at 0 (off). An audio taper ends at −60 dB, off is not modelled.
    Raises:
        ValueError: out of range, bad points, or a position outside the measured points.
    Source: common practice (tapers); the true law of a product is not known until it is measured.

    >>> round(drive_db(50.0), 2), drive_db(50.0, 60.0, "audio"), drive_db(25.0, taper=[(0, -40), (50, -10), (100, 0)])
    (-6.02, -42.0, -25.0)
    """
    position = output_percent(dial, cap)
    if taper == "linear":
        return 20 * math.log10(position / 100) if position else -math.inf
    if taper == "audio":
        return AUDIO_TRAVEL_DB * (position / 100 - 1)
    points = _checked(taper)
    positions = [p for p, _ in points]
    in_range("position", position, positions[0], positions[-1], unit="%", remedy="measure the taper there first")
    return _between(position, positions, [db for _, db in points])


def dial_for(change_db: float, *, dial: float, cap: float = 100.0, taper: Taper = "linear") -> float:
    """The dial position that changes the level by some dB: the inverse of `drive_db`.

    Parameters:
        change_db: wanted change, positive is louder [dB].
        dial: where the dial stands now, above 0 for a linear taper, to 100 [%].
        cap: above 0 to 100 [%], unchanged.
        taper: as in `drive_db`; where a measured one is flat, the lowest position that gives the level.
    Returns:
        The new dial position [%].
    Raises:
        ValueError: out of range, off now, or the change is beyond the dial; says how far the dial can go.
    Source: common practice (tapers).

    >>> round(dial_for(-6.0206, dial=80.0), 2), round(dial_for(6.0, dial=50.0, taper="audio"), 2)
    (40.0, 60.0)
    """
    in_range("change_db", change_db, -math.inf, math.inf, unit="dB")
    now = drive_db(dial, cap, taper)
    if math.isinf(now):
        raise ValueError(f"dial is {dial:g} %: a control that is off has no level to change; turn it up first")
    lowest, highest = _reach(cap, taper)
    wanted = now + change_db
    if lowest - 1e-9 <= wanted <= highest + 1e-9:
        wanted = min(max(wanted, lowest), highest)  # rounding only
        return min(_position(wanted, taper) * 100 / cap, 100.0)
    raise ValueError(
        f"change_db is {change_db:g} dB: from dial {dial:g} % under cap {cap:g} % the dial reaches "
        f"{lowest - now:+.1f} to {highest - now:+.1f} dB; change the cap or the gain before this control"
    )


def _reach(cap: float, taper: Taper) -> tuple[float, float]:
    """Lowest and highest level within the dial's travel (and within the points of a measured taper)."""
    if taper in ("linear", "audio"):
        return drive_db(0.0, cap, taper), drive_db(100.0, cap, taper)
    points = _checked(taper)
    top = 100.0 if points[-1][0] >= cap else points[-1][0] * 100 / cap
    return points[0][1], drive_db(top, cap, points)


def _position(level_db: float, taper: Taper) -> float:
    if taper == "linear":
        return float(100 * 10 ** (level_db / 20))
    if taper == "audio":
        return 100 * (1 + level_db / AUDIO_TRAVEL_DB)
    points = _checked(taper)
    return _between(level_db, [db for _, db in points], [p for p, _ in points])


def _checked(taper: Taper) -> Points:
    if isinstance(taper, str) or len(taper) < 2:
        raise ValueError(f"taper is {taper!r}: allowed is linear, audio or at least two points (position %, level dB)")
    for position, level in taper:
        in_range("a taper's position", position, 0.0, 100.0, unit="%")
        in_range("a taper's level", level, -math.inf, math.inf, unit="dB")
    for (low, low_db), (high, high_db) in itertools.pairwise(taper):
        if high <= low or high_db < low_db:
            raise ValueError(
                f"taper goes from ({low:g} %, {low_db:g} dB) to ({high:g} %, {high_db:g} dB): positions must rise and "
                "levels must not fall; measure that point again"
            )
    return taper


def _between(x: float, xs: list[float], ys: list[float]) -> float:
    """Straight lines between points; the first of equal x."""
    for (x0, y0), (x1, y1) in itertools.pairwise(zip(xs, ys, strict=True)):
        if x <= x1:
            return y0 if x <= x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return ys[-1]


def _percent(name: str, value: float, *, open_low: bool = False) -> float:
    return in_range(name, value, 0.0, 100.0, unit="%", open_low=open_low)


def _percent_of(output: float, whole: float) -> float:
    """output / whole in percent; a hair above 100 is rounding, not a demand."""
    share = output * 100 / whole
    return 100.0 if 100 < share < 100 * (1 + 1e-12) else share
