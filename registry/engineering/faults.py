"""What each single fault on a line would do: the new load, whether the channel survives, who changes level."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from registry.engineering.amplifier import ROUNDING, at_least
from registry.engineering.line_parts import Coil, LineSpec, Piece, pieces
from registry.engineering.line_result import LineLoad
from registry.engineering.line_solve import Circuit, channel_minimum_ohm, drive_of, shares, total_impedance
from registry.engineering.wording import figure, listed

FaultKind: TypeAlias = Literal["coil open", "coil shorted", "cable open", "polarity reversed"]
FAULT_KINDS: Final[tuple[FaultKind, ...]] = get_args(FaultKind)


@dataclass(frozen=True, slots=True)
class LevelChange:
    """How much louder (or softer, below 0) one coil plays with the fault than without; −inf is silence [dB]."""

    label: str
    coil: str
    change_db: float | None


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing gone wrong, and what follows; None where it cannot be known.

    label, coil, string: the coil, or the coil that the broken piece of cable feeds. impedance_ohm: what the channel
    sees, 0 to inf. survives: whether it may drive that. changes: every other coil (all of them for a broken cable).
    low_frequency_sum_db: for a reversed polarity, what is left of the coherent sum of all coils at low frequencies.
    """

    kind: FaultKind
    label: str
    coil: str
    string: str
    impedance_ohm: float | None
    survives: bool | None
    changes: tuple[LevelChange, ...]
    low_frequency_sum_db: float | None
    says: str

    @property
    def silenced(self) -> tuple[str, ...]:
        """Labels of the loudspeakers that fall silent with the fault, the faulty one aside."""
        return tuple(dict.fromkeys(change.label for change in self.changes if change.change_db == -math.inf))


@dataclass(frozen=True, slots=True)
class _State:
    """A solved circuit: what the channel sees, its volts, and each coil's share of them, string by string."""

    total_ohm: float | None
    volts: float | None
    shares: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class _Case:
    """One fault to look at: on which line, of which kind, at which string and place in it."""

    spec: LineSpec
    kind: FaultKind
    string: int
    place: int

    @property
    def coil(self) -> Coil:
        return self.spec.strings[self.string].coils[self.place]


def faults(line: LineLoad | LineSpec) -> tuple[Fault, ...]:
    """Every single fault of a line: each coil open or shorted, each piece of cable open, each polarity reversed.

    The channel is the same source as for the whole line, so its voltage moves with the load. A channel that does not
    survive protects itself or breaks: its whole line goes silent, whatever the changes of level say.

    Parameters:
        line: a line, solved or not. A line with a load that is not known gives faults without figures.
    Returns:
        Four faults for each coil, in wiring order; no cable fault where the piece is known to have no length.
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: Ohm's law (OpenStax, College Physics 2e); the coherent sum with one of n reversed is (n − 2)/n.

    >>> from registry.engineering.line import Channel, RatedLoad, String
    >>> coils = tuple(Coil(f"LS{n}", impedance_ohm=8.0) for n in (1, 2, 3))
    >>> found = faults(LineSpec("low", (String("1", coils),), Channel((RatedLoad(8.0, 100.0),))))
    >>> found[1].kind, found[1].impedance_ohm, [round(change.change_db, 2) for change in found[1].changes]
    ('coil shorted', 16.0, [3.52, 3.52])
    """
    spec = line.spec if isinstance(line, LineLoad) else line
    known = [string for string in pieces(spec) if string is not None]
    if len(known) < len(spec.strings):
        return tuple(_told(case, _State(None, None, ()), (), None) for case in _cases(spec))
    circuit = tuple(known)
    before = _state(spec, circuit)
    return tuple(_fault(case, circuit, before) for case in _cases(spec))


def _cases(spec: LineSpec) -> Iterator[_Case]:
    for s, string in enumerate(spec.strings):
        for c, coil in enumerate(string.coils):
            joined = coil.cable is not None and coil.cable.length_m == 0
            yield from (_Case(spec, kind, s, c) for kind in FAULT_KINDS if not (joined and kind == "cable open"))


def _state(spec: LineSpec, circuit: Circuit) -> _State:
    total_ohm = total_impedance(spec.kind, circuit)
    drive = drive_of(spec, total_ohm)
    if total_ohm == 0:
        got = tuple((0.0,) * len(string) for string in circuit)
    else:
        got = tuple(tuple(leaf.volts for leaf in shares(spec.kind, string)) for string in circuit)
    return _State(total_ohm, drive.volts if drive else None, got)


def _broken(circuit: Circuit, case: _Case) -> Circuit:
    """The circuit with the fault in it; a reversed polarity leaves it as it was."""
    string = circuit[case.string]
    piece = string[case.place]
    broken = {
        "coil open": Piece(piece.cable_ohm, math.inf),
        "coil shorted": Piece(piece.cable_ohm, 0.0),
        "cable open": Piece(math.inf, piece.load_ohm),
        "polarity reversed": piece,
    }[case.kind]
    changed = (*string[: case.place], broken, *string[case.place + 1 :])
    return (*circuit[: case.string], changed, *circuit[case.string + 1 :])


def _fault(case: _Case, circuit: Circuit, before: _State) -> Fault:
    if case.kind == "polarity reversed":
        return _told(case, before, _changes(case, before, before), _reversed_sum_db(case, before))
    after = _state(case.spec, _broken(circuit, case))
    return _told(case, after, _changes(case, before, after), None)


def _changes(case: _Case, before: _State, after: _State) -> tuple[LevelChange, ...]:
    """Of every other coil; of all of them when a piece of cable is open, for then the coil itself is whole."""
    return tuple(
        LevelChange(coil.label, coil.coil, _change_db(case.spec, before, after, at=(s, c)))
        for s, string in enumerate(case.spec.strings)
        for c, coil in enumerate(string.coils)
        if case.kind == "cable open" or (s, c) != (case.string, case.place)
    )


def _change_db(spec: LineSpec, before: _State, after: _State, *, at: tuple[int, int]) -> float | None:
    share_before, share_after = before.shares[at[0]][at[1]], after.shares[at[0]][at[1]]
    if share_after == 0:
        return -math.inf
    ratio = share_after / share_before
    if spec.kind == "low":
        if before.volts is None or after.volts is None:
            return None
        ratio *= after.volts / before.volts
    return 20 * math.log10(ratio)


def _reversed_sum_db(case: _Case, state: _State) -> float:
    """What is left where all coils are heard together and in phase: |Σ±v| against Σv."""
    whole = math.fsum(volts for string in state.shares for volts in string)
    left = abs(whole - 2 * state.shares[case.string][case.place]) / whole
    return 20 * math.log10(left) if left > ROUNDING else -math.inf


def _told(case: _Case, after: _State, changes: tuple[LevelChange, ...], sum_db: float | None) -> Fault:
    minimum_ohm = channel_minimum_ohm(case.spec)
    known = minimum_ohm is not None and after.total_ohm is not None
    survives = at_least(after.total_ohm or 0.0, minimum_ohm or 0.0) if known else None
    shown = () if survives is False else changes
    return Fault(
        kind=case.kind,
        label=case.coil.label,
        coil=case.coil.coil,
        string=case.spec.strings[case.string].name,
        impedance_ohm=after.total_ohm,
        survives=survives,
        changes=changes,
        low_frequency_sum_db=sum_db,
        says=f"{_what(case)}: {_load(after.total_ohm, survives)}{_effect(case.spec, shown, sum_db)}.",
    )


def _what(case: _Case) -> str:
    name = case.spec.called([case.coil])[0]
    return f"Cable to {name} open" if case.kind == "cable open" else f"{name} {case.kind.split()[1]}"


def _load(total_ohm: float | None, survives: bool | None) -> str:
    if total_ohm is None:
        return "the new load is not known"
    sees = "no load" if math.isinf(total_ohm) else "a dead short" if total_ohm == 0 else f"{figure(total_ohm)} Ω"
    verdicts = {True: "which it may drive", False: "which it may not drive: expect the whole line to go silent"}
    return f"the channel sees {sees}" + (f", {verdicts[survives]}" if survives is not None else "")


def _effect(spec: LineSpec, changes: tuple[LevelChange, ...], sum_db: float | None) -> str:
    silent = spec.called(change for change in changes if change.change_db == -math.inf)
    moved = [round(c.change_db, 1) for c in changes if c.change_db is not None and c.change_db > -math.inf]
    text = f"; {listed(silent)} {'falls' if len(silent) == 1 else 'fall'} silent" if silent else ""
    if any(moved):
        span = sorted({min(moved), max(moved)})
        text += f"; others change by {' to '.join(f'{change:+.1f}'.replace('-', '−') for change in span)} dB"
    if sum_db is not None and len(changes) > 0:
        left = "cancel" if math.isinf(sum_db) else f"add up to {sum_db:.1f} dB less".replace("-", "")
        text += f"; low frequencies {left} where all are heard together"
    return text
