"""Drive in dB re 2.83 V: what a zone needs, what a channel can give, what a constant-voltage output allows."""

import math
from typing import Final

from registry.engineering.bounds import in_range
from registry.engineering.limits import above_zero, share_of_one, zero_or_more

# The voltage that gives an 8 Ω loudspeaker 1 W, the usual reference of sensitivity; √8 rounded (common practice).
DRIVE_REFERENCE_V: Final = 2.83
PROGRAMME_HEADROOM_DB: Final = 12.0  # peaks of music over its mean level: common practice
CONSTANT_VOLTAGE_SHARE: Final = 0.8  # of the rated watts that taps may add up to: common practice


def drive_of_volts_db(volts: float) -> float:
    """Drive of a voltage: 20 lg(V / 2.83 V).

    Parameters:
        volts: rms voltage at the terminals, above 0 [V].
    Returns:
        Drive [dB re 2.83 V].
    Raises:
        ValueError: 0, negative or not finite.
    Source: definition of a level; 2.83 V is common practice.

    >>> round(drive_of_volts_db(0.283), 2)
    -20.0
    """
    above_zero(volts=volts)
    return 20.0 * math.log10(volts / DRIVE_REFERENCE_V)


def level_at_283_from_reading(*, level_db: float, volts: float) -> float:
    """Level that a zone has at 2.83 V, from one reading: level − 20 lg(V / 2.83 V).

    Loudspeakers, taps, cable and room are all in this one number.

    Parameters:
        level_db: level at the spot, corrected for background [dB].
        volts: rms voltage at the channel's terminals while it was read, above 0 [V].
    Returns:
        Level at 2.83 V [dB].
    Raises:
        ValueError: out of range or not finite.
    Source: derived: a linear system moves dB for dB.

    >>> round(level_at_283_from_reading(level_db=60.0, volts=0.283), 1)
    80.0
    """
    return in_range("level_db", level_db, -math.inf, math.inf, unit="dB") - drive_of_volts_db(volts)


def level_at_283_from_data(*, sensitivity_db: float, distance_m: float, loudspeakers: int = 1) -> float:
    """Level at 2.83 V from data sheets: sensitivity − 20 lg(distance / 1 m) + 10 lg(number).

    A room adds to it, so a reading is better wherever there is one.

    Parameters:
        sensitivity_db: level at 1 m with 2.83 V [dB].
        distance_m: from a loudspeaker to a listener, above 0 [m].
        loudspeakers: how many are heard alike at the spot, 1 or more.
    Returns:
        Level at 2.83 V [dB].
    Raises:
        ValueError: out of range or not finite.
    Source: inverse distance law in the free field, addition of incoherent levels; common practice.

    >>> round(level_at_283_from_data(sensitivity_db=88.0, distance_m=2.0, loudspeakers=4), 1)
    88.0
    """
    above_zero(distance_m=distance_m)
    in_range("loudspeakers", loudspeakers, 1, math.inf)
    nearby_db = in_range("sensitivity_db", sensitivity_db, -math.inf, math.inf, unit="dB")
    return nearby_db - 20.0 * math.log10(distance_m) + 10.0 * math.log10(loudspeakers)


def channel_drive_limit_db(*, power_w: float, load_ohm: float, headroom_db: float = PROGRAMME_HEADROOM_DB) -> float:
    """Highest mean drive of a channel: the drive of √(P·R), less headroom for the peaks of music.

    Parameters:
        power_w: rated power into `load_ohm`, above 0 [W].
        load_ohm: the load that it is rated for, above 0 [Ω].
        headroom_db: peaks over the mean level, 0 or more [dB].
    Returns:
        Drive [dB re 2.83 V].
    Raises:
        ValueError: out of range or not finite.
    Source: P = V²/R; the headroom is common practice.

    >>> round(channel_drive_limit_db(power_w=50.0, load_ohm=8.0), 1)
    5.0
    """
    above_zero(power_w=power_w, load_ohm=load_ohm)
    zero_or_more(headroom_db=headroom_db)
    return drive_of_volts_db(math.sqrt(power_w * load_ohm)) - headroom_db


def constant_voltage_min_load_ohm(*, line_v: float, power_w: float, share: float = CONSTANT_VOLTAGE_SHARE) -> float:
    """Smallest load of a constant-voltage output: V² / (share · P).

    Parameters:
        line_v: nominal line voltage, above 0 [V].
        power_w: rated power at that voltage, above 0 [W].
        share: of the rated power that taps may add up to, above 0 to 1.
    Returns:
        Load [Ω].
    Raises:
        ValueError: out of range or not finite.
    Source: P = V²/R; 80 % is common practice.

    >>> round(constant_voltage_min_load_ohm(line_v=100.0, power_w=125.0), 1)
    100.0
    """
    above_zero(line_v=line_v, power_w=power_w)
    share_of_one(share=share)
    return line_v**2 / (share * power_w)
