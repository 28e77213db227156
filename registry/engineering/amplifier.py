"""An amplifier channel as a source: its rated loads, the voltage it gives, the load it allows."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from registry.engineering.limits import above_zero

# Rounding of binary fractions must not turn a load of exactly 4 Ω into one below 4 Ω.
ROUNDING: Final = 1e-9


@dataclass(frozen=True, slots=True)
class RatedLoad:
    """A rated load [Ω, above 0] and the power that the maker rates into it [W, above 0]."""

    load_ohm: float
    power_w: float

    def __post_init__(self) -> None:
        above_zero(load_ohm=self.load_ohm, power_w=self.power_w)

    @property
    def volts(self) -> float:
        """√(P·R) [V rms]."""
        return math.sqrt(self.power_w * self.load_ohm)


@dataclass(frozen=True, slots=True)
class Channel:
    """What the maker rates for one channel; an empty one is a channel whose rating is not known.

    rated: rated loads, in any order, each load once. min_load_ohm: lowest load allowed, above 0 [Ω]; None takes the
    lowest rated load. line_power_w: rated watts by nominal line voltage (25, 70.7, 100).
    """

    rated: tuple[RatedLoad, ...] = ()
    min_load_ohm: float | None = None
    line_power_w: Mapping[float, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        loads = [rated.load_ohm for rated in self.rated]
        if len(set(loads)) < len(loads):
            raise ValueError(f"a channel is rated once for each load, got {loads} Ω")
        if self.min_load_ohm is not None:
            above_zero(min_load_ohm=self.min_load_ohm)
        for line_v, power_w in self.line_power_w.items():
            above_zero(line_v=line_v, line_power_w=power_w)


@dataclass(frozen=True, slots=True)
class Drive:
    """The voltage at the channel's terminals at full output [V rms], and whether the load is below every rated one."""

    volts: float
    outside_rating: bool


def lowest_load_ohm(channel: Channel) -> float | None:
    """The lowest impedance that the channel may drive: the stated one, or else the lowest rated load.

    Parameters:
        channel: its ratings.
    Returns:
        Lowest load [Ω], or None when neither is known.
    Raises:
        ValueError: nothing beyond what Channel refuses.
    Source: common practice.

    >>> lowest_load_ohm(Channel(rated=(RatedLoad(8, 100), RatedLoad(4, 160))))
    4
    """
    if channel.min_load_ohm is not None:
        return channel.min_load_ohm
    return min((rated.load_ohm for rated in channel.rated), default=None)


def drive_into(channel: Channel, load_ohm: float) -> Drive | None:
    """Voltage that the channel gives into a load at full output; None when the channel has no rated load.

    At and above the highest rated load the channel is a voltage source √(P·R). Between two rated loads the voltage is
    interpolated linearly over 1/R. Below the lowest rated load it stays at that load's voltage, marked as outside.

    Parameters:
        channel: its ratings.
        load_ohm: 0 to inf [Ω].
    Returns:
        Drive, or None.
    Raises:
        ValueError: load below 0 or nan.
    Source: ours, for rated loads as amplifier data sheets give them (IEC 60268-3 rates output power into a rated load).

    >>> drive_into(Channel(rated=(RatedLoad(8, 100), RatedLoad(4, 162))), 16.0)
    Drive(volts=28.284271247461902, outside_rating=False)
    """
    if not load_ohm >= 0:
        raise ValueError(f"load_ohm must be 0 or more, got {load_ohm}")
    table = sorted(channel.rated, key=lambda rated: rated.load_ohm)
    if not table:
        return None
    if load_ohm >= table[-1].load_ohm:
        return Drive(table[-1].volts, False)
    for low, high in pairwise(table):
        if low.load_ohm <= load_ohm < high.load_ohm:
            share = (1 / load_ohm - 1 / high.load_ohm) / (1 / low.load_ohm - 1 / high.load_ohm)
            return Drive(high.volts + share * (low.volts - high.volts), False)
    return Drive(table[0].volts, not at_least(load_ohm, table[0].load_ohm))


def at_least(load_ohm: float, limit_ohm: float) -> bool:
    """Whether a load is at or above a limit, but for rounding (1e-9 of the limit).

    Parameters:
        load_ohm, limit_ohm: 0 or more [Ω].
    Returns:
        True or False.
    Raises:
        ValueError: never; nan is not at least anything.
    Source: ours.

    >>> at_least(1 / (1 / 8 + 1 / 8), 4.0)
    True
    """
    return load_ohm >= limit_ohm * (1 - ROUNDING)
