"""How a line's load comes about, with the numbers in it: what a tech can follow on paper."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from registry.engineering.cable import loop_resistance_ohm
from registry.engineering.line import Coil, Fault, LevelChange, LineLoad, String
from registry.engineering.line_parts import Piece, load_of, pieces, string_network
from registry.engineering.load_checks import watts_asked
from registry.engineering.network import impedance
from registry.engineering.wording import figure, listed


class Term(NamedTuple):
    """One figure of a load: what it is, and how it is computed."""

    name: str
    text: str


def load_terms(load: LineLoad) -> list[Term]:
    """Return the formula of a line's load with its numbers, step by step; what isn't known is called so."""
    steps = _low(load) if load.kind == "low" else _constant_voltage(load)
    return list(steps)


def _low(load: LineLoad) -> Iterator[Term]:
    circuit = pieces(load.spec)
    for string, known in zip(load.spec.strings, circuit, strict=True):
        yield Term(f"String {string.name}, in series", f"{_sum(string)} = {_string_ohm(known)}")
    if len(load.spec.strings) > 1:
        parts = " + ".join(f"1/{_bare(_of(known))}" for known in circuit)
        yield Term("Strings in parallel", f"1 / ({parts}) = {_ohm(load.impedance_ohm)}")
    yield Term("Lowest impedance, each coil at its minimum", _ohm(load.minimum_impedance_ohm))
    yield Term(
        "The channel allows", f"{_ohm(load.channel_minimum_ohm)} or more" if load.channel_minimum_ohm else "not known"
    )
    if load.volts is not None and load.impedance_ohm is not None and load.power_w is not None:
        volts, ohm = figure(load.volts), figure(load.impedance_ohm)
        yield Term("At full output", f"U²/Z = ({volts} V)² / {ohm} Ω = {figure(load.power_w)} W")


def _sum(string: String) -> str:
    """Equal coils are counted; all the cable of the string is one summand."""
    counts = Counter(coil.impedance_ohm for coil in string.coils)
    parts = [f"{count} × {_ohm(ohm)}" if count > 1 else _ohm(ohm) for ohm, count in counts.items()]
    loops = [loop_resistance_ohm(coil.cable) if coil.cable else None for coil in string.coils]
    cable_ohm = sum(ohm for ohm in loops if ohm is not None)
    known = f"{figure(cable_ohm)} Ω of cable, there and back" if any(ohm is not None for ohm in loops) else ""
    missing = "cable not known, taken as 0 Ω" if None in loops else ""
    return " + ".join([*parts, *(part for part in (known, missing) if part)])


def _of(known: tuple[Piece, ...] | None) -> float | None:
    return impedance(string_network("low", known)) if known else None


def _string_ohm(known: tuple[Piece, ...] | None) -> str:
    return _ohm(_of(known))


def _constant_voltage(load: LineLoad) -> Iterator[Term]:
    spec = load.spec
    asked = [watts_asked(coil, spec) for coil in spec.coils]
    total = figure(sum(w for w in asked if w is not None)) + " W" if None not in asked else "not known"
    yield Term("Watts asked for, insertion loss included", f"{' + '.join(_taps(spec.coils))} = {total}")
    if load.channel_power_w is not None:
        power, limit = figure(load.channel_power_w), _ohm(load.channel_minimum_ohm)
        yield Term(
            "The channel is rated", f"{power} W at {load.kind} V: U²/P = ({load.kind} V)² / {power} W = {limit} or more"
        )
    else:
        yield Term("The channel is rated", "not known")
    yield Term("Each loudspeaker stands for", "; ".join(_stand_ins(load)))
    yield Term("The channel sees, cable included", _ohm(load.impedance_ohm))
    if load.power_w is not None and load.impedance_ohm is not None:
        ohm = figure(load.impedance_ohm)
        yield Term("At full output", f"U²/Z = ({load.kind} V)² / {ohm} Ω = {figure(load.power_w)} W")


def _taps(coils: Iterable[Coil]) -> Iterator[str]:
    for (tap, loss), count in Counter((coil.tap_w, coil.insertion_loss_db) for coil in coils).items():
        one = "not known" if tap is None else f"{figure(tap)} W" + (f" × 10^({figure(loss)}/10)" if loss else "")
        yield f"{count} × {one}" if count > 1 else one


def _stand_ins(load: LineLoad) -> Iterator[str]:
    volts = load.spec.line_v
    for tap in dict.fromkeys(coil.tap_w for coil in load.spec.coils):
        coil = next(coil for coil in load.spec.coils if coil.tap_w == tap)
        ohm = _ohm(load_of(coil, volts))
        yield f"U²/P = ({load.kind} V)² / {figure(tap)} W = {ohm}" if tap is not None else f"no tap known: {ohm}"


def _ohm(value: float | None) -> str:
    return "not known" if value is None else f"{figure(value)} Ω"


def _bare(value: float | None) -> str:
    return "?" if value is None else figure(value)


def heard(fault: Fault, *, others: int) -> str:
    """Return what a fault does to the other coils, in a few words; `others` is how many of them there are."""
    if fault.survives is False:
        return "the whole line goes silent: the channel protects itself or breaks"
    parts = list(_changes(fault.changes, others)) or [
        "no other loudspeaker to hear it on" if not others else "not known"
    ]
    if fault.low_frequency_sum_db is not None and others:
        lost = fault.low_frequency_sum_db
        left = "cancel" if lost == float("-inf") else f"{figure(round(lost, 1))} dB"
        parts = [f"low frequencies {left} where all are heard together"]
    return "; ".join(parts)


def _changes(changes: Iterable[LevelChange], others: int) -> Iterator[str]:
    groups: dict[float, list[str]] = {}
    for change in changes:
        if change.change_db is not None:
            groups.setdefault(round(change.change_db, 1), []).append(change.label)
    for level, labels in sorted(groups.items()):
        names = "all the others" if len(labels) == others > 1 else listed(list(dict.fromkeys(labels)))
        yield f"{names} {'silent' if level == float('-inf') else _signed(level)}"


def _signed(level: float) -> str:
    return "unchanged" if level == 0 else f"{level:+.1f} dB".replace("-", "−")
