"""A line, everything wired to one channel: parts in, load and verdicts out, and what faults would do."""

from collections.abc import Sequence

from registry.engineering.amplifier import Channel, RatedLoad
from registry.engineering.cable import Cable
from registry.engineering.checks import Check, Verdict, worst_check
from registry.engineering.faults import Fault, FaultKind, LevelChange, faults
from registry.engineering.line_parts import LINE_VOLTS, Coil, LineKind, LineSpec, String
from registry.engineering.line_result import CoilLoad, LineLoad
from registry.engineering.line_solve import solved

__all__ = [
    "LINE_VOLTS",
    "Cable",
    "Channel",
    "Check",
    "Coil",
    "CoilLoad",
    "Fault",
    "FaultKind",
    "LevelChange",
    "LineKind",
    "LineLoad",
    "LineSpec",
    "RatedLoad",
    "String",
    "Verdict",
    "constant_voltage_line",
    "faults",
    "low_impedance_line",
    "solved",
    "worst_check",
]


def low_impedance_line(*, strings: Sequence[String], channel: Channel) -> LineLoad:
    """Load, power and levels of a low-impedance line: strings in parallel, coils and cable of a string in series.

    The channel gives √(P·R) of its rated loads, interpolated as `amplifier.drive_into` says. Levels are against the
    same loudspeaker alone on that channel without cable: n equal ones in series get −20 lg n dB each.

    Parameters:
        strings: at least one, each with at least one coil.
        channel: its ratings; an empty Channel when they are not known.
    Returns:
        The solved and judged line.
    Raises:
        ValueError: no loudspeaker, or the same coil twice.
    Source: Ohm's law (OpenStax, College Physics 2e); IEC 60268-5 cl. 16.1 (as restated) for minimum impedance.

    >>> coils = tuple(Coil(f"LS{n}", impedance_ohm=8.0, rated_power_w=50.0) for n in (1, 2, 3))
    >>> line = low_impedance_line(strings=[String("1", coils)], channel=Channel((RatedLoad(8.0, 100.0),)))
    >>> line.impedance_ohm, round(line.worst.level_re_direct_db, 2), round(line.worst.power_w, 1)
    (24.0, -9.54, 11.1)
    """
    return solved(LineSpec("low", tuple(strings), channel))


def constant_voltage_line(*, line_v: float, strings: Sequence[String], channel: Channel) -> LineLoad:
    """Load, power and levels of a constant-voltage line: each string a daisy chain along one cable.

    A loudspeaker stands for V²/P of its tap, and the channel for an ideal source of the line voltage. Levels are
    against the tap. The minimum impedance takes 80 % of each V²/P.

    Parameters:
        line_v: 25, 70.7 or 100 [V].
        strings: at least one, each with at least one coil.
        channel: its ratings; an empty Channel when they are not known, and then no watts are given.
    Returns:
        The solved and judged line.
    Raises:
        ValueError: another line voltage, no loudspeaker, or the same coil twice.
    Source: V²/P and Ohm's law; 20 % margin is common practice.

    >>> coils = tuple(Coil(f"LS{n}", tap_w=6.0, cable=Cable("1.5 mm2", 10.0)) for n in range(1, 11))
    >>> line = constant_voltage_line(
    ...     line_v=100.0, strings=[String("1", coils)], channel=Channel(line_power_w={100.0: 120.0})
    ... )
    >>> round(line.power_w, 2), line.worst.label, round(line.worst.level_re_direct_db, 3)
    (59.68, 'LS10', -0.066)
    """
    kinds = {volts: kind for kind, volts in LINE_VOLTS.items()}
    if line_v not in kinds:
        raise ValueError(f"line_v must be {', '.join(LINE_VOLTS)} V, got {line_v}")
    return solved(LineSpec(kinds[line_v], tuple(strings), channel))
