"""The permitted wirings of one zone: strings of equal loudspeakers, and how they may be spread over the channels."""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, product
from typing import Final, TypeAlias

from registry.engineering.bounds import in_range
from registry.engineering.folding_drive import drive_of_volts_db
from registry.engineering.folding_parts import FoldCoil, FoldZone

PICO: Final = 1e12  # loads are whole picosiemens, so that 1/6 + 1/12 and 1/4 are the same load

Kinds: TypeAlias = tuple[tuple[tuple[FoldCoil, ...], ...], ...]


@dataclass(frozen=True, slots=True)
class Split:
    """One way to spread a zone's strings: load of each channel [pS], strings of each kind per channel.

    changes counts differences from today's wiring. spread decides between equals: channels used beyond the first or,
    for loudspeakers with two inputs, which are meant to have one on each channel, channels left unused.
    """

    loads_ps: tuple[int, ...]
    takes: tuple[tuple[int, ...], ...]
    changes: int
    spread: int


@dataclass(frozen=True, slots=True)
class ZoneWiring:
    """One permitted wiring of a zone.

    kinds: strings by kind (equal impedance), each string a tuple of its coils. need_db: drive of the channel that gives
    the wanted level; cap_db: highest drive that the loudspeakers' ratings allow, inf if not known [dB re 2.83 V].
    """

    zone: FoldZone
    per_string: int
    kinds: Kinds
    wanted_db: float
    need_db: float
    cap_db: float
    load_s: float
    splits: tuple[Split, ...]

    @property
    def series_strings(self) -> int:
        """Strings in which one open coil silences more than one loudspeaker."""
        return sum(len(strings) for strings in self.kinds) if self.per_string > 1 else 0

    @property
    def fewest_changes(self) -> int:
        """Changes of today's wiring that every split of this wiring has."""
        return min(split.changes for split in self.splits)


def series_shift_db(per_string: int) -> float:
    """Drive that n equal loudspeakers in series need more than in parallel: 20 lg n.

    Parameters:
        per_string: equal loudspeakers in one string, 1 or more.
    Returns:
        Extra drive [dB].
    Raises:
        ValueError: below 1.
    Source: voltage divider of equal impedances, derived: each of two in series gets −6.02 dB.

    >>> round(series_shift_db(2), 2)
    6.02
    """
    return 20.0 * math.log10(in_range("per_string", per_string, 1, math.inf))


def zone_wirings(zone: FoldZone, *, channels: int) -> tuple[ZoneWiring, ...]:
    """Every permitted wiring of a zone on an amplifier, parallel first.

    Strings hold loudspeakers of one known model and impedance. All strings of a zone are equally long, so that all its
    loudspeakers play at one level. Loudspeakers with two inputs and constant-voltage lines stay in parallel.

    Parameters:
        zone: with every impedance, the wanted level and the level at 2.83 V known.
        channels: of the amplifier, 1 or more.
    Returns:
        At least the parallel wiring.
    Raises:
        ValueError: a figure that is not known, or no channel.
    Source: common practice: series only for the same model in one zone.

    >>> pair = tuple(FoldCoil(label, 8.0, model="Make A C6") for label in ("LS1", "LS2"))
    >>> zone = FoldZone(name="Lobby", coils=pair, wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> [(w.per_string, round(w.need_db, 2), len(w.splits)) for w in zone_wirings(zone, channels=2)]
    [(1, -20.0, 3), (2, -13.98, 2)]
    """
    in_range("channels", channels, 1, math.inf)
    lengths = range(1, zone.longest_string + 1)
    return tuple(_wiring(zone, length, channels=channels) for length in lengths if _may_be_strings_of(zone, length))


def impedance_of(coil: FoldCoil) -> float:
    """Impedance of a coil that must be known.

    Parameters:
        coil: the coil.
    Returns:
        Impedance [Ω].
    Raises:
        ValueError: it is not known.
    Source: ours.

    >>> impedance_of(FoldCoil("LS1", 8.0))
    8.0
    """
    if coil.impedance_ohm is None:
        raise ValueError(f"impedance of {coil.loudspeaker} coil {coil.coil} is not known: measure it before folding")
    return coil.impedance_ohm


def _may_be_strings_of(zone: FoldZone, length: int) -> bool:
    if length == 1:
        return True
    if zone.kind != "low" or _has_two_inputs(zone) or any(not coil.model for coil in zone.coils):
        return False
    return all(count % length == 0 for count in Counter(_sort(coil) for coil in zone.coils).values())


def _has_two_inputs(zone: FoldZone) -> bool:
    return max(Counter(coil.loudspeaker for coil in zone.coils).values()) > 1


def _sort(coil: FoldCoil) -> tuple[float, str]:
    return (impedance_of(coil), coil.model)


def _wiring(zone: FoldZone, length: int, *, channels: int) -> ZoneWiring:
    if zone.wanted_db is None or zone.level_at_283_db is None:
        raise ValueError(
            f"wanted level and level at 2.83 V of zone {zone.name} must be known: read them before folding"
        )
    kinds = _kinds(zone, length)
    shift = series_shift_db(length) + zone.control_db
    return ZoneWiring(
        zone=zone,
        per_string=length,
        kinds=kinds,
        wanted_db=zone.wanted_db,
        need_db=zone.wanted_db - zone.level_at_283_db + shift,
        cap_db=min(_rating_db(coil) for coil in zone.coils) + shift,
        load_s=sum(len(strings) * load for strings, load in zip(kinds, _string_loads_s(kinds), strict=True)),
        splits=tuple(_splits(zone, kinds, length=length, channels=channels)),
    )


def _string_loads_s(kinds: Kinds) -> list[float]:
    return [1.0 / (len(strings[0]) * impedance_of(strings[0][0])) for strings in kinds]


def _rating_db(coil: FoldCoil) -> float:
    if coil.rated_power_w is None:
        return math.inf
    return drive_of_volts_db(math.sqrt(coil.rated_power_w * impedance_of(coil)))


def _kinds(zone: FoldZone, length: int) -> Kinds:
    # First inputs before second ones, so that a two-input loudspeaker gets one on each channel where the load allows;
    # then by room, so that a string stays in one room where the numbers allow.
    ordered = sorted(zone.coils, key=lambda coil: (*_sort(coil), coil.coil, coil.room))
    strings: dict[float, list[tuple[FoldCoil, ...]]] = {}
    for _, same in groupby(ordered, key=_sort):
        coils = list(same)
        for start in range(0, len(coils), length):
            strings.setdefault(impedance_of(coils[0]), []).append(tuple(coils[start : start + length]))
    return tuple(tuple(group) for group in strings.values())


def _splits(zone: FoldZone, kinds: Kinds, *, length: int, channels: int) -> Iterator[Split]:
    each = _string_loads_s(kinds)
    cheapest: dict[tuple[int, ...], Split] = {}
    for takes in product(*(list(_shares(len(strings), channels)) for strings in kinds)):
        used = sum(any(take[channel] for take in takes) for channel in range(channels))
        if used > 1 and not zone.may_split:
            continue
        loads = tuple(
            round(PICO * sum(take[channel] * load for take, load in zip(takes, each, strict=True)))
            for channel in range(channels)
        )
        spread = channels - used if _has_two_inputs(zone) else used - 1
        split = Split(loads, takes, _changes(zone, length, used=used), spread)
        if loads not in cheapest or split.changes < cheapest[loads].changes:
            cheapest[loads] = split
    yield from cheapest.values()


def _shares(count: int, channels: int) -> Iterator[tuple[int, ...]]:
    if channels == 1:
        yield (count,)
        return
    for first in range(count, -1, -1):
        for rest in _shares(count - first, channels - 1):
            yield (first, *rest)


def _changes(zone: FoldZone, length: int, *, used: int) -> int:
    if zone.today is None:
        return 0
    return (length != zone.today.per_string) + (used != zone.today.channels)
