"""Another wiring of a line, tried on copies of its rows: nothing here reads or writes the database."""

import math
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import asdict, dataclass, field
from typing import NamedTuple

from registry.audio.loads import amplifier_model, load_with
from registry.audio.models import Coil, Line, Loudspeaker, Zone
from registry.engineering.amplifier import ROUNDING
from registry.engineering.line import CoilLoad, Fault, LineLoad, Verdict, faults
from registry.equipment.models import MakeModel

MOST_COILS = 100
MOST_NEW = 8
NOTHING_WIRED = "No loudspeaker would be connected, so there is no load to judge."


@dataclass(frozen=True, slots=True)
class Seat:
    """Where one coil hangs on a line, on which tap, and the piece of cable that feeds it."""

    string: str
    order: int
    tap_w: float | None = None
    cable: str = ""
    cable_m: float | None = None


@dataclass(frozen=True, slots=True)
class Newcomer:
    """A loudspeaker of a known model that would join a line."""

    label: str
    model: MakeModel
    zone: Zone
    seat: Seat
    coil: str = "1"


@dataclass(frozen=True, slots=True)
class Proposal:
    """Another wiring of a line: coils that take another seat (by id), that leave, that join; another amplifier's model.

    A coil that isn't named stays as it is; without a model the amplifier is the one that is there.
    """

    seats: dict[int, Seat] = field(default_factory=dict)
    left_out: frozenset[int] = frozenset()
    joining: tuple[Newcomer, ...] = ()
    amplifier: MakeModel | None = None


class State(NamedTuple):
    """A wiring with all that follows from it; `load` is None when nothing is connected."""

    coils: list[Coil]
    model: MakeModel | None
    load: LineLoad | None
    faults: tuple[Fault, ...]

    @property
    def verdict(self) -> Verdict:
        """The verdict of the load."""
        return self.load.verdict if self.load else "unknown"

    @property
    def says(self) -> str:
        """The sentence that decides."""
        return self.load.says if self.load else NOTHING_WIRED

    @property
    def worst_fault(self) -> Fault | None:
        """The single fault that does most harm: the whole line first, then loudspeakers silenced, then level."""
        return max(self.faults, key=_harm, default=None)

    @property
    def fatal_faults(self) -> int:
        """How many single faults the channel doesn't survive."""
        return sum(fault.survives is False for fault in self.faults)


def _harm(fault: Fault) -> tuple[int, int, float]:
    moved = [abs(each.change_db) for each in fault.changes if each.change_db is not None]
    return {False: 2, None: 1, True: 0}[fault.survives], len(fault.silenced), max(moved, default=0.0)


def seat_of(coil: Coil) -> Seat:
    """Return where a coil hangs now."""
    return Seat(coil.string, coil.order, coil.tap_w, coil.cable, coil.cable_m)


def as_it_is(line: Line) -> State:
    """Return what follows from the wiring of a line that came through `with_wiring`."""
    return _state(line, list(line.coils.all()), amplifier_model(line))


def as_proposed(line: Line, proposal: Proposal) -> State:
    """Return what would follow from another wiring of a line that came through `with_wiring`."""
    return _state(line, proposed_coils(line, proposal), proposal.amplifier or amplifier_model(line))


def proposed_coils(line: Line, proposal: Proposal) -> list[Coil]:
    """Return copies of the coils as they would hang, and rows of the new ones; none of them is ever saved."""
    staying = [coil for coil in line.coils.all() if coil.pk not in proposal.left_out]
    moved = [_seated(copy(coil), proposal.seats.get(coil.pk)) for coil in staying]
    return moved + [_joined(line, newcomer) for newcomer in proposal.joining]


def _seated(coil: Coil, seat: Seat | None) -> Coil:
    for name, value in asdict(seat).items() if seat else ():
        setattr(coil, name, value)
    return coil


def _joined(line: Line, newcomer: Newcomer) -> Coil:
    unit = Loudspeaker(site=line.site, label=newcomer.label, make_model=newcomer.model, zone=newcomer.zone)
    return Coil(loudspeaker=unit, coil=newcomer.coil, line=line, **asdict(newcomer.seat))


def _state(line: Line, coils: Iterable[Coil], model: MakeModel | None) -> State:
    ordered = sorted(coils, key=lambda coil: (coil.string, coil.order))
    if not ordered:
        return State([], model, None, ())
    load = load_with(line, ordered, model)
    return State(ordered, model, load, faults(load))


class Clash(NamedTuple):
    """A coil that can't be where it would be: its id, or the number of the newcomer."""

    coil_id: int | None
    newcomer: int | None
    says: str


def clashes(line: Line, proposal: Proposal) -> list[Clash]:
    """Return every coil that would come to a position which another one has; who moves is blamed."""
    staying = [coil for coil in line.coils.all() if coil.pk not in proposal.left_out]
    seats = {coil.pk: proposal.seats.get(coil.pk) or seat_of(coil) for coil in staying}
    settled = sorted(staying, key=lambda coil: seats[coil.pk] != seat_of(coil))
    guests: list[tuple[str, Seat, int | None, int | None]]
    guests = [(str(coil.loudspeaker), seats[coil.pk], coil.pk, None) for coil in settled]
    guests += [(each.label, each.seat, None, number) for number, each in enumerate(proposal.joining)]
    taken: dict[tuple[str, int], str] = {}
    found = []
    for label, seat, coil_id, newcomer in guests:
        if first := taken.get((seat.string, seat.order)):
            says = f"position {seat.order} of string {seat.string} is already taken by {first}"
            found.append(Clash(coil_id, newcomer, says))
        taken.setdefault((seat.string, seat.order), label)
    return found


class Hung(NamedTuple):
    """One coil in one of the two wirings, and what it gets there."""

    coil: Coil
    load: CoilLoad


class CoilChange(NamedTuple):
    """One coil before and after; None where it isn't on the line."""

    before: Hung | None
    after: Hung | None

    @property
    def name(self) -> str:
        """Its loudspeaker's label, with the coil unless that is the first."""
        hung = self.after or self.before
        assert hung is not None
        number = hung.coil.coil
        return hung.load.label if number == "1" else f"{hung.load.label}, coil {number}"

    @property
    def too_much(self) -> bool:
        """Whether it would get more than its rating."""
        load = self.after.load if self.after else None
        if load is None or load.power_w is None or load.rated_w is None:
            return False
        return load.power_w > load.rated_w * (1 + ROUNDING)

    @property
    def difference_db(self) -> float | None:
        """How much louder it plays at full output of the channel than before: 10 lg(P2/P1)."""
        if self.before is None or self.after is None:
            return None
        before_w, after_w = _watts(self.before.load), _watts(self.after.load)
        return 10 * math.log10(after_w / before_w) if before_w and after_w else None


def _watts(unit: CoilLoad) -> float | None:
    """On a constant-voltage line the watts at its nominal voltage are known without the channel's rating."""
    if unit.power_w is not None or unit.level_re_direct_db is None or unit.rated_w is None:
        return unit.power_w
    return float(unit.rated_w * 10 ** (unit.level_re_direct_db / 10))


def coil_changes(before: State, after: State) -> list[CoilChange]:
    """Return every coil of the two wirings beside itself, in the order of the old one; new ones come last."""
    old, new = _hung(before), _hung(after)
    return [CoilChange(old.get(key), new.get(key)) for key in dict.fromkeys([*old, *new])]


def _hung(state: State) -> dict[tuple[str, str], Hung]:
    loads: Sequence[CoilLoad] = state.load.loudspeakers if state.load else ()
    return {
        (unit.label, unit.coil): Hung(coil, unit) for coil, unit in zip(_in_strings(state.coils), loads, strict=True)
    }


def _in_strings(coils: Sequence[Coil]) -> list[Coil]:
    """The order in which engineering gives the loads back: string by string."""
    strings: dict[str, list[Coil]] = {}
    for coil in coils:
        strings.setdefault(coil.string, []).append(coil)
    return [coil for string in strings.values() for coil in string]
