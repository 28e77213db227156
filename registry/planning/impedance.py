"""An impedance measured at the terminals against the computed one: within ±20 %, or what would explain it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from registry.engineering.amplifier import ROUNDING, at_least
from registry.engineering.bounds import in_range
from registry.engineering.checks import Verdict
from registry.engineering.faults import Fault, faults
from registry.engineering.line_parts import MINIMUM_SHARE
from registry.engineering.line_result import LineLoad
from registry.engineering.wording import figure, listed

# Common practice, all of them: nominal is not real, and a meter has one frequency.
COMPUTED_TOLERANCE: Final = 0.20
BEFORE_TOLERANCE: Final = 0.10
FITS: Final = 0.10
SHORT_SHARE: Final = 0.10
FEW_NAMES: Final = 3
LOW_IMPEDANCE_OHM: Final = 16.0

OPEN: Final = "The line is open: the meter reaches no loudspeaker. Check the terminals and the first joint."
NOT_IMPEDANCE: Final = (
    "A DC resistance is no impedance: a coil of 8 Ω reads 6 to 7 Ω, a transformer next to nothing, a capacitor open "
    "(common practice). Read it at a test frequency, often 1 kHz."
)
SEVERAL: Final = "No single fault explains it: several loudspeakers lost, or lower taps than recorded."
NOMINAL: Final = "The channel allows {} Ω or more: the maker must say whether that is a nominal load or the lowest one."


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict and why, in one or two sentences."""

    verdict: Verdict
    says: str


@dataclass(frozen=True, slots=True)
class _Parts:
    """What hangs in parallel on a line: how many, what one is called, and whether they are equal."""

    count: int
    noun: str
    alike: bool

    def named(self, count: int) -> str:
        return f"{count} {self.noun}{'' if count == 1 else 's'}"


def rise_of_lost(count: int, lost: int = 1) -> float:
    """By how much the impedance of equal parallel loads rises when some are lost: k/(N − k); 1/(N − 1) for one.

    Parameters:
        count: how many there are, 2 or more.
        lost: how many are open, 1 to count − 1.
    Returns:
        Rise as a share: 1.0 is +100 %.
    Raises:
        ValueError: out of range.
    Source: Ohm's law (derived): N 2 → 100 %, 4 → 33 %, 6 → 20 %, 8 → 14 %, 12 → 9 %, 20 → 5 %.

    >>> [round(100 * rise_of_lost(count)) for count in (2, 4, 6, 8, 12, 20)]
    [100, 33, 20, 14, 9, 5]
    """
    in_range("lost", lost, 1, count - 1, remedy="with all of them lost the line is open")
    return lost / (count - lost)


def judge(measured_ohm: float, frequency_hz: float, load: LineLoad | None) -> Judged:
    """Judge a measured impedance against the computed one and against what the channel allows.

    Open, or below 80 % of the lowest load that the channel allows, fails. More than ±20 % from the computed value
    warns and names what would explain it: lost loudspeakers by the 1/(N − 1) rule where all are equal, single faults
    of this line otherwise. Inside ±20 % it says whether that could have shown one lost loudspeaker.

    Parameters:
        measured_ohm: at the terminals, line disconnected, 0 or more; inf where the meter shows no continuity.
        frequency_hz: of the meter; 0 is a DC resistance.
        load: the solved line, or None when no coil is connected.
    Returns:
        Verdict and sentences.
    Raises:
        ValueError: out of range.
    Source: common practice (±20 %); 80 % of nominal by IEC 60268-5 cl. 16.1 (as restated).

    >>> judge(8.2, 1000.0, None).verdict
    'unknown'
    """
    in_range("frequency_hz", frequency_hz, 0.0, math.inf, unit="Hz")
    if frequency_hz == 0:
        return Judged("unknown", NOT_IMPEDANCE)
    if math.isinf(measured_ohm) and measured_ohm > 0:
        return Judged("fail", OPEN)
    in_range("measured_ohm", measured_ohm, 0.0, math.inf, unit="ohm")
    computed_ohm = load.impedance_ohm if load else None
    allowed_ohm = load.channel_minimum_ohm if load else None
    reading = f"{figure(measured_ohm)} Ω at {frequency_hz:g} Hz"
    if load is None or not computed_ohm:
        return _alone(measured_ohm, allowed_ohm, reading)
    ratio = measured_ohm / computed_ohm
    against = f"{reading} against {figure(computed_ohm)} Ω computed, {_percent(ratio - 1)}"
    beyond = abs(ratio - 1) > COMPUTED_TOLERANCE + ROUNDING
    told = _explained(measured_ohm, ratio, load)
    told = f"{against}{': more than ±20 %' if beyond else ''}. {told}".rstrip()
    if allowed_ohm is not None and not at_least(measured_ohm, MINIMUM_SHARE * allowed_ohm):
        return Judged("fail", f"{told} {_forbidden(allowed_ohm)}")
    if allowed_ohm is not None and not at_least(measured_ohm, allowed_ohm):
        return Judged("warn", f"{told} {NOMINAL.format(figure(allowed_ohm))}")
    return Judged("warn" if beyond else "pass", told)


def change_since(measured_ohm: float, before_ohm: float) -> str:
    """Say how a measured impedance stands against the one before, at the same test frequency.

    Parameters:
        measured_ohm, before_ohm: above 0 [ohm].
    Returns:
        Text such as "+3 % since then"; beyond ±10 % it says so.
    Raises:
        ValueError: out of range.
    Source: common practice (supervised lines watch about ±10 %).

    >>> change_since(8.24, 8.0), change_since(10.7, 8.0)
    ('+3 %', '+34 %, more than ±10 %')
    """
    for name, value in (("measured_ohm", measured_ohm), ("before_ohm", before_ohm)):
        in_range(name, value, 0.0, math.inf, unit="ohm", open_low=True)
    change = measured_ohm / before_ohm - 1
    return f"{_percent(change)}, more than ±10 %" if abs(change) > BEFORE_TOLERANCE + ROUNDING else _percent(change)


def _percent(share: float) -> str:
    return f"{round(100 * share):+d} %".replace("+0 ", "±0 ").replace("-", "−")


def _alone(measured_ohm: float, allowed_ohm: float | None, reading: str) -> Judged:
    if allowed_ohm is not None and not at_least(measured_ohm, MINIMUM_SHARE * allowed_ohm):
        return Judged("fail", f"{reading}. {_forbidden(allowed_ohm)}")
    return Judged("unknown", f"{reading}. Nothing is computed to compare it with: a loudspeaker or a tap is not known.")


def _forbidden(allowed_ohm: float) -> str:
    return f"The channel allows {figure(allowed_ohm)} Ω or more: don't connect this line."


def _explained(measured_ohm: float, ratio: float, load: LineLoad) -> str:
    parts = _parts(load)
    if ratio > 1 + COMPUTED_TOLERANCE:
        return _lost(ratio, parts) if parts.alike else _by_faults(measured_ohm, load) or SEVERAL
    if ratio < 1 - COMPUTED_TOLERANCE:
        return _added(measured_ohm, ratio, load, parts)
    return _resolution(parts)


def _parts(load: LineLoad) -> _Parts:
    """On a low-impedance line strings are in parallel, on a constant-voltage line every loudspeaker is."""
    spec = load.spec
    if spec.kind != "low":
        taps = [coil.tap_w for coil in spec.coils]
        return _Parts(len(taps), "loudspeaker", None not in taps and len(set(taps)) == 1)
    strings = [sorted(coil.impedance_ohm or 0.0 for coil in string.coils) for string in spec.strings]
    single = all(len(string) == 1 for string in strings)
    alike = all(string == strings[0] for string in strings) and 0.0 not in strings[0]
    return _Parts(len(strings), "loudspeaker" if single else "string", alike)


def _lost(ratio: float, parts: _Parts) -> str:
    if parts.count == 1:
        return f"With one {parts.noun} on the line nothing can be lost: check the joints and the recorded impedance."
    rises = {lost: 1 + rise_of_lost(parts.count, lost) for lost in range(1, parts.count)}
    lost = min(rises, key=lambda count: abs(ratio / rises[count] - 1))
    if abs(ratio / rises[lost] - 1) > FITS:
        return f"No number of {parts.noun}s lost out of {parts.count} explains it well: check what is recorded."
    others = [count for count, rise in rises.items() if abs(ratio / rise - 1) <= COMPUTED_TOLERANCE]
    span = f"; within ±20 % it could be {others[0]} to {others[-1]}" if len(others) > 1 else ""
    return f"{lost} of {parts.named(parts.count)} lost would explain it ({_percent(rises[lost] - 1)}{span})."


def _added(measured_ohm: float, ratio: float, load: LineLoad, parts: _Parts) -> str:
    if ratio < SHORT_SHARE and measured_ohm <= LOW_IMPEDANCE_OHM and load.spec.kind != "low" and measured_ohm >= 1:
        return "So little on a transformer line is a loudspeaker without transformer, or one switched to low impedance."
    if ratio < SHORT_SHARE:
        return "So little is a short: look for it with the line cut in halves."
    if named := _by_faults(measured_ohm, load):
        return named
    more = round(parts.count * (1 / ratio - 1))
    if parts.alike and 1 <= more <= parts.count:
        tap = "" if load.spec.kind == "low" else ", or a tap were higher"
        return f"As if {parts.named(more)} more hung on the line than the {parts.count} recorded{tap}."
    return "Look for loudspeakers or taps that are not recorded, and for damage to the cable."


def _resolution(parts: _Parts) -> str:
    if not parts.alike or parts.count == 1:
        return ""
    rise = rise_of_lost(parts.count)
    one = f"One {parts.noun} of {parts.count} lost would raise it by {100 * rise:.0f} %"
    if rise > COMPUTED_TOLERANCE + 1e-9:
        return f"{one}."
    return f"{one}, which ±20 % can't show: listen to each, or measure by branch."


def _by_faults(measured_ohm: float, load: LineLoad) -> str:
    """Name the single faults of this line that would give what was measured."""
    fitting = [fault for fault in faults(load) if _fits(fault, measured_ohm)]
    if not fitting:
        return ""
    kinds = dict.fromkeys(fault.kind for fault in fitting)
    told = [_told([fault for fault in fitting if fault.kind == kind], load) for kind in kinds]
    return f"It fits {' or '.join(told)}."


def _fits(fault: Fault, measured_ohm: float) -> bool:
    ohm = fault.impedance_ohm
    if ohm is None or not 0 < ohm < math.inf or fault.kind == "polarity reversed":
        return False
    return abs(measured_ohm / ohm - 1) <= FITS


def _told(alike: Sequence[Fault], load: LineLoad) -> str:
    words = {"coil open": "{} open", "coil shorted": "{} shorted", "cable open": "the cable to {} open"}[alike[0].kind]
    names = list(dict.fromkeys(load.spec.names[fault.label, fault.coil] for fault in alike))
    if len(names) > FEW_NAMES:
        return words.format(f"any one of {len(names)} coils")
    return words.format(listed(names).replace(" and ", " or "))
