"""What is known of a line once it is solved: the load, what each loudspeaker gets, and the verdicts."""

import math
from dataclasses import dataclass
from typing import Final

from registry.engineering.checks import Check, Verdict, worst_check
from registry.engineering.line_parts import LineKind, LineSpec

# IEC 62368-1 takes audio outputs above 71 V rms as a higher class of energy source (from memory).
TOUCH_V: Final = 71.0
SHOCK_CAUTION: Final = (
    "Speaker lines of this voltage can shock: switch the amplifier off before touching terminals. "
    "Local codes and licensed practice decide."
)
LOAD_CAUTION: Final = (
    "Do not switch this load on: it can damage the amplifier. Measure before connecting. "
    "The maker's instructions decide."
)


@dataclass(frozen=True, slots=True)
class CoilLoad:
    """What one coil gets at full output of the channel; None where it is not known.

    impedance_ohm: the load it stands for. power_w: at its terminals (the transformer's primary on a constant-voltage
    line). level_re_direct_db: against the same loudspeaker alone on that channel without cable; against its tap on a
    constant-voltage line. rated_w: its rated power or its tap. cable_loss_db: what the cable takes of its level.
    """

    label: str
    coil: str
    string: str
    impedance_ohm: float | None
    power_w: float | None
    level_re_direct_db: float | None
    rated_w: float | None
    cable_loss_db: float | None = None


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A solved line; None where a figure cannot be known.

    impedance_ohm: what the channel sees, cable included. minimum_impedance_ohm: the same with every load at its lowest
    modulus. channel_minimum_ohm: the lowest load that the channel allows; V²/P of its rating on a constant-voltage
    line. power_w: what the channel delivers at full output, cable included. channel_power_w: its rated power at the
    line voltage, or at the lowest rated load. volts: at its terminals. cable_loss_db: of the loudspeaker that loses
    most. outside_rating: no power is rated for a load this low; the figures use the voltage at the lowest rated one.
    """

    kind: LineKind
    impedance_ohm: float | None
    minimum_impedance_ohm: float | None
    channel_minimum_ohm: float | None
    power_w: float | None
    channel_power_w: float | None
    volts: float | None
    cable_loss_db: float | None
    outside_rating: bool
    loudspeakers: tuple[CoilLoad, ...]
    checks: tuple[Check, ...]
    spec: LineSpec

    @property
    def verdict(self) -> Verdict:
        """The worst verdict: fail before unknown before warn before pass."""
        return worst_check(self.checks).verdict

    @property
    def says(self) -> str:
        """The sentence of the check that decides."""
        return worst_check(self.checks).says

    @property
    def worst(self) -> CoilLoad | None:
        """The loudspeaker with the lowest level against itself alone; None when no level is known."""
        known = [coil for coil in self.loudspeakers if coil.level_re_direct_db is not None]
        return min(known, key=lambda coil: coil.level_re_direct_db or 0.0, default=None)

    @property
    def headroom_db(self) -> float | None:
        """How much more load the channel may take: 10 lg(impedance/lowest allowed) [dB], below 0 when overloaded."""
        if self.impedance_ohm is None or self.channel_minimum_ohm is None:
            return None
        return 10 * math.log10(self.impedance_ohm / self.channel_minimum_ohm)

    @property
    def caution(self) -> str:
        """The line to print beside any work on this line; empty when nothing special applies."""
        overload = any(check.code == "load" and check.verdict == "fail" for check in self.checks)
        high = self.kind in ("70.7", "100") or (self.volts is not None and self.volts > TOUCH_V)
        return " ".join([LOAD_CAUTION] * overload + [SHOCK_CAUTION] * high)
