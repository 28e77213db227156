"""Loudspeaker cable: loop resistance, what it costs in level and power, and how far a size may run."""

import math
from dataclasses import dataclass

from registry.engineering.conductor import (
    COPPER_OHM_M,
    awg_diameter_m,
    conductor_area_mm2,
    conductor_resistance_ohm_per_m,
    iec_60228_maximum_ohm_per_m,
    resistance_ohm,
    temperature_coefficient_per_k,
    temperature_factor,
)
from registry.engineering.limits import above_zero, zero_or_more

__all__ = [
    "Cable",
    "awg_diameter_m",
    "cable_power_share",
    "conductor_area_mm2",
    "conductor_resistance_ohm_per_m",
    "iec_60228_maximum_ohm_per_m",
    "longest_run_m",
    "loop_ohm",
    "loop_ratio",
    "loop_resistance_ohm",
    "loss_db",
    "resistance_ohm",
    "smallest_area_mm2",
    "temperature_coefficient_per_k",
    "temperature_factor",
]


@dataclass(frozen=True, slots=True)
class Cable:
    """A two-conductor piece of cable.

    size: "18 AWG" or "1.5 mm2", None when not known. length_m: one way, 0 or more [m], None when not known.
    ohm_per_m: resistance of one conductor [Ω/m] from a data sheet, a measurement or IEC 60228; it replaces the size.
    """

    size: str | None
    length_m: float | None
    ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        if self.size is not None:
            conductor_area_mm2(self.size)
        if self.length_m is not None:
            zero_or_more(length_m=self.length_m)
        if self.ohm_per_m is not None:
            above_zero(ohm_per_m=self.ohm_per_m)


def loop_ohm(*, length_m: float, ohm_per_m: float) -> float:
    """Resistance there and back: R = 2 l r.

    Parameters:
        length_m: one way, 0 or more [m].
        ohm_per_m: of one conductor, above 0 [Ω/m].
    Returns:
        Loop resistance [Ω].
    Raises:
        ValueError: a value out of range.
    Source: common practice; both conductors count.

    >>> round(loop_ohm(length_m=100, ohm_per_m=0.026), 3)
    5.2
    """
    zero_or_more(length_m=length_m)
    above_zero(ohm_per_m=ohm_per_m)
    return 2 * length_m * ohm_per_m


def loop_resistance_ohm(cable: Cable, temperature_c: float = 20.0) -> float | None:
    """Resistance of a piece of cable there and back, or None when its length or its size is not known.

    A length of 0 m has 0 Ω whatever the size.

    Parameters:
        cable: the piece. Its `ohm_per_m`, if given, counts as it is, without a correction for temperature.
        temperature_c: of the copper, −50 to 150 [°C].
    Returns:
        Loop resistance [Ω] or None.
    Raises:
        ValueError: temperature out of range.
    Source: as `conductor_resistance_ohm_per_m`.

    >>> round(loop_resistance_ohm(Cable("18 AWG", 30.48)), 3)
    1.277
    >>> loop_resistance_ohm(Cable(None, 12.0)) is None
    True
    """
    if cable.length_m is None:
        return None
    if cable.length_m == 0:
        return 0.0
    if cable.ohm_per_m is not None:
        return loop_ohm(length_m=cable.length_m, ohm_per_m=cable.ohm_per_m)
    if cable.size is None:
        return None
    return loop_ohm(length_m=cable.length_m, ohm_per_m=conductor_resistance_ohm_per_m(cable.size, temperature_c))


def loop_ratio(*, load_ohm: float, loop_ohm: float) -> float:
    """Loop resistance over load: R/Z. Wire charts often call it "power loss", which it is not.

    Parameters:
        load_ohm: the load at the far end, above 0 [Ω].
        loop_ohm: both conductors, 0 or more [Ω].
    Returns:
        Ratio, 0.1 for 10 %.
    Raises:
        ValueError: a value out of range.
    Source: common practice; published rules keep it to 5 % on low-impedance and 10 % on constant-voltage lines.

    >>> round(loop_ratio(load_ohm=8.0, loop_ohm=1.277), 3)
    0.16
    """
    above_zero(load_ohm=load_ohm)
    zero_or_more(loop_ohm=loop_ohm)
    return loop_ohm / load_ohm


def cable_power_share(*, load_ohm: float, loop_ohm: float) -> float:
    """Share of the amplifier's power that the cable turns into heat: R/(R + Z).

    Parameters:
        load_ohm: the load at the far end, above 0 [Ω].
        loop_ohm: both conductors, 0 or more [Ω].
    Returns:
        Share, 0 to 1.
    Raises:
        ValueError: a value out of range.
    Source: Ohm's law; OpenStax, College Physics 2e, "Resistors in Series and Parallel" (the wire as a resistor).

    >>> round(cable_power_share(load_ohm=8.0, loop_ohm=1.277), 3)
    0.138
    """
    ratio = loop_ratio(load_ohm=load_ohm, loop_ohm=loop_ohm)
    return ratio / (1 + ratio)


def loss_db(*, load_ohm: float, loop_ohm: float) -> float:
    """Level that the cable costs at the loudspeaker: 20 lg(1 + R/Z), a positive figure.

    Parameters:
        load_ohm: the load at the far end, above 0 [Ω].
        loop_ohm: both conductors, 0 or more [Ω].
    Returns:
        Loss [dB].
    Raises:
        ValueError: a value out of range.
    Source: voltage divider, 20 lg of the ratio of voltages.

    >>> round(loss_db(load_ohm=4.0, loop_ohm=1.277), 2)
    2.41
    """
    return 20 * math.log10(1 + loop_ratio(load_ohm=load_ohm, loop_ohm=loop_ohm))


def longest_run_m(
    load_ohm: float, size: str, *, loss_db: float, temperature_c: float = 20.0, iec_60228_maximum: bool = False
) -> float:
    """Longest one-way run of a cable size for an allowed loss: Z (10^(loss/20) − 1) / 2r.

    Parameters:
        load_ohm: the load at the far end, above 0 [Ω].
        size: "18 AWG" or "1.5 mm2".
        loss_db: allowed loss of level, above 0 [dB].
        temperature_c: of the copper, −50 to 150 [°C].
        iec_60228_maximum: count with the maximum of IEC 60228 class 5, 0.5 to 4 mm² only.
    Returns:
        One-way length [m].
    Raises:
        ValueError: a value out of range.
    Source: `loss_db` solved for the length.

    >>> round(longest_run_m(8.0, "18 AWG", loss_db=0.5), 1)
    11.3
    """
    ohm_per_m = conductor_resistance_ohm_per_m(size, temperature_c, iec_60228_maximum=iec_60228_maximum)
    return _loop_allowed_ohm(load_ohm, loss_db) / (2 * ohm_per_m)


def smallest_area_mm2(
    load_ohm: float, length_m: float, *, loss_db: float, resistivity_ohm_m: float = COPPER_OHM_M
) -> float:
    """Smallest conductor that keeps a run within an allowed loss: A = 2 ρ l / R.

    Parameters:
        load_ohm: the load at the far end, above 0 [Ω].
        length_m: one way, above 0 [m].
        loss_db: allowed loss of level, above 0 [dB].
        resistivity_ohm_m: above 0 [Ω·m]; annealed copper at 20 °C unless given.
    Returns:
        Area of each conductor [mm²]; take the next larger size that is sold.
    Raises:
        ValueError: a value out of range.
    Source: `loss_db` solved for the area.

    >>> round(smallest_area_mm2(8.0, 30.0, loss_db=0.5), 2)
    2.18
    """
    above_zero(length_m=length_m)
    loop = _loop_allowed_ohm(load_ohm, loss_db)
    return 2 * resistance_ohm(length_m=length_m, area_mm2=1.0, resistivity_ohm_m=resistivity_ohm_m) / loop


def _loop_allowed_ohm(load_ohm: float, loss_db: float) -> float:
    above_zero(load_ohm=load_ohm, loss_db=loss_db)
    return load_ohm * (10 ** (loss_db / 20) - 1)
