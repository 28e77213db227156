"""Fold plan cases for tests and benchmarks: the branch library, random sites, and the rules of wiring written anew."""

import math
import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from registry.engineering.folding import AmplifierType, FoldCoil, FoldZone, Mode, Wiring

TWO_CHANNELS = AmplifierType("Two channels", (Mode("mono", 2, 4.0),))


def zone(name: str, loudspeakers: int, ohm: float, **given: object) -> FoldZone:
    """A zone of equal loudspeakers of one model, with the level at 2.83 V at 80 dB unless said otherwise."""
    coils = tuple(FoldCoil(f"{name}-{n}", ohm, model="Make A C6") for n in range(1, loudspeakers + 1))
    usual: dict[str, object] = {"wanted_db": 60.0, "level_at_283_db": 80.0, "life_safety": "no"}
    return FoldZone(name=name, coils=coils, **(usual | given))


def two_inputs(name: str, ohm: float, **given: object) -> FoldZone:
    """A zone of one loudspeaker with two inputs."""
    coils = (FoldCoil(name, ohm, "1", "Make B D8"), FoldCoil(name, ohm, "2", "Make B D8"))
    return replace(zone(name, 1, ohm, **given), coils=coils)


def library(tolerance_db: float, *, reading_room_db: float = 50.0, control_db: float = 0.0) -> list[FoldZone]:
    """The branch library of the worked example: nine zones, three classes (an invented site)."""
    rows = [
        zone("Lobby", 2, 8.0, level_at_283_db=80.0, wanted_db=60.0),
        zone("Stacks", 6, 8.0, level_at_283_db=81.0, wanted_db=58.0),
        zone("Children", 4, 8.0, level_at_283_db=82.0, wanted_db=61.0),
        zone("Reading room", 4, 8.0, level_at_283_db=81.0, wanted_db=reading_room_db, control_db=control_db),
        zone("Café corner", 2, 6.0, level_at_283_db=82.0, wanted_db=64.0),
        zone("Meeting room", 2, 8.0, level_at_283_db=80.0, wanted_db=60.0, source="own"),
        two_inputs("Workroom", 8.0, level_at_283_db=78.0, wanted_db=57.0),
        zone("Restrooms", 2, 8.0, level_at_283_db=80.0, wanted_db=58.0),
        zone("Terrace", 2, 8.0, level_at_283_db=72.0, wanted_db=64.0, hours="own"),
    ]
    return [replace(row, tolerance_db=tolerance_db) for row in rows]


def random_zones(
    count: int, seed: int, *, classes: int = 1, most: int = 6, tolerance_db: float = 2.1
) -> list[FoldZone]:
    """Zones with whole and half dB, tolerances that no difference of two needs meets exactly."""
    dice = random.Random(seed)
    made: list[FoldZone] = []
    while len(made) < count:
        source = f"s{len(made) % classes}"
        one = _random_zone(f"Z{len(made)}", dice, source=source, most=most, tolerance_db=tolerance_db)
        if any(max(loads) <= 0.25 for _, loads, _, _ in options(one, 2)):  # a zone that two channels of 4 Ω can carry
            made.append(one)
    return made


def _random_zone(name: str, dice: random.Random, *, source: str, most: int, tolerance_db: float) -> FoldZone:
    given: dict[str, object] = {
        "wanted_db": dice.randint(110, 128) / 2,
        "level_at_283_db": dice.randint(154, 166) / 2,
        "tolerance_db": tolerance_db,
        "weight": dice.choice([1.0, 1.0, 2.0]),
        "may_split": dice.random() < 0.8,
        "today": dice.choice([None, Wiring(), Wiring(2, 1)]),
        "source": source,
    }
    ohm = dice.choice([4.0, 6.0, 8.0, 8.0, 8.0, 16.0])
    if dice.random() < 0.1:
        return two_inputs(name, 8.0, **given)
    made = zone(name, dice.choice([n for n in (1, 2, 2, 3, 4, 4, 6) if n <= most]), ohm, **given)
    if dice.random() < 0.2 and len(made.coils) > 1:
        odd = replace(made.coils[0], impedance_ohm=16.0, model="Make C")
        return replace(made, coils=(odd, *made.coils[1:]))
    return made


Option = tuple[int, tuple[float, ...], int, int]  # per string, siemens by channel, strings in series, changes


def options(one: FoldZone, channels: int) -> list[Option]:
    """Every wiring of a zone, written from the rules anew: coil by coil, string by string, channel by channel."""
    return [option for length in range(1, one.longest_string + 1) for option in _options(one, length, channels)]


def _options(one: FoldZone, length: int, channels: int) -> Iterator[Option]:
    double = len({coil.loudspeaker for coil in one.coils}) < len(one.coils)
    alike: dict[tuple[str, float | None], int] = {}
    for coil in one.coils:
        alike[coil.model, coil.impedance_ohm] = alike.get((coil.model, coil.impedance_ohm), 0) + 1
    if length > 1 and (double or any(n % length for n in alike.values())):
        return
    strings = [1 / (length * (ohm or 0)) for (_, ohm), n in alike.items() for _ in range(n // length)]
    seen = set()
    for where in product(range(channels), repeat=len(strings)):
        loads = tuple(
            math.fsum(load for load, at in zip(strings, where, strict=True) if at == c) for c in range(channels)
        )
        used = len(set(where))
        key = tuple(round(load, 12) for load in loads)
        if key in seen or (used > 1 and not one.may_split):
            continue
        seen.add(key)
        changes = 0 if one.today is None else (length != one.today.per_string) + (used != one.today.channels)
        yield (length, loads, len(strings) if length > 1 else 0, changes)


def need_db(one: FoldZone, length: int) -> float:
    """Drive of the channel at which the zone has its wanted level."""
    return (one.wanted_db or 0) - (one.level_at_283_db or 0) + one.control_db + 20 * math.log10(length)
