"""Why one amplifier fewer will not do: each limit loosened in turn, and what the search then finds."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from registry.engineering.amplifier import at_least
from registry.engineering.folding_groups import modes_for
from registry.engineering.folding_limits import Overloaded, Widened, fewest_amplifiers, overloaded, widened
from registry.engineering.folding_nodes import LEVEL_RESOLUTION_DB
from registry.engineering.folding_options import PICO, zone_wirings
from registry.engineering.folding_parts import AmplifierType, FoldZone, Mode
from registry.engineering.wording import counted, figure, listed

LONGER_STRING: Final = 4  # loudspeakers: what "longer strings" is tried with


@dataclass(frozen=True, slots=True)
class Refusal:
    """A limit that forbids `amplifiers` for these zones; `enough`: loosening it alone would make that number possible.

    constraint: load, level, series, split, drive, sharing, line kind or mono. Where not even an amplifier of its own
    serves a zone, `amplifiers` is 1 and `zones` is that one.
    """

    constraint: str
    zones: tuple[str, ...]
    amplifiers: int
    enough: bool
    says: str


def why_not_fewer(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, count: int) -> tuple[Refusal, ...]:
    """Name the limits that forbid `count` amplifiers for zones of one class.

    Level: the least by which every tolerance would have to be wider. Load: the least load of the fullest amplifier if
    loads were no limit. Longer strings, split zones and drive are named where loosening that one alone would do.

    Parameters:
        zones, amplifiers: zones of one source, hours, controller and line kind; what can be bought.
        count: a number that the search found impossible, 1 or more.
    Returns:
        At least one refusal; every one is a search of its own, with one limit taken away.
    Raises:
        ValueError: count below 1, or possible after all.
    Source: derived.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> bar, hall = (FoldZone(name=name, coils=(FoldCoil(name, 8.0),), wanted_db=wanted, level_at_283_db=80,
    ...              life_safety="no") for name, wanted in (("Bar", 60), ("Hall", 50)))
    >>> for refusal in why_not_fewer([bar, hall], [AmplifierType("Two", (Mode("mono", 2, 4.0),))], count=1):
    ...     print(refusal.says)
    One amplifier for Bar and Hall: every tolerance would have to be 3.0 dB wider; Bar −5.0 dB, Hall +5.0 dB.
    """
    if count < 1:
        raise ValueError(f"count must be 1 or more, got {count}")
    level = widened(zones, amplifiers, count=count)
    if level is not None and level.wider_db <= LEVEL_RESOLUTION_DB:
        raise ValueError(f"{_for(count, zones)} are possible: there is nothing to explain")
    load = overloaded(zones, amplifiers, count=count)
    found = []
    if level is not None or load is None:
        found.append(_level_refusal(zones, level, count=count))
    if load is not None or level is None:
        found.append(_load_refusal(zones, amplifiers, count=count, found=load))
    return (*found, *_loosened(zones, amplifiers, count=count))


def why_not_shared(
    zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, apart: int
) -> tuple[Refusal, ...]:
    """Say whether amplifiers are lost because zones may not share source, hours or controller.

    Parameters:
        zones, amplifiers: zones of one line kind, of several classes; what can be bought.
        apart: fewest amplifiers with the classes kept apart.
    Returns:
        One refusal, or none where sharing would save nothing.
    Raises:
        ValueError: a figure of a zone that is not known.
    Source: derived; the search is run again with all zones as one class.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> bar, hall = (FoldZone(name=name, coils=(FoldCoil(name, 8.0),), wanted_db=60, level_at_283_db=80,
    ...              life_safety="no", source=name) for name in ("Bar", "Hall"))
    >>> [refusal.says for refusal in why_not_shared([bar, hall], [AmplifierType("A", (Mode("m", 2, 4.0),))], apart=2)]
    ['Bar and Hall differ in source: if they shared it, 1 would do instead of 2.']
    """
    differ = [word for word in ("source", "hours", "controller") if len({getattr(z, word) for z in zones}) > 1]
    alike = [replace(zone, source="", hours="", controller="") for zone in zones]
    together = fewest_amplifiers(alike, amplifiers, most=apart - 1)
    if together is None:
        return ()
    names = tuple(zone.name for zone in zones)
    says = f"{listed(names)} differ in {listed(differ)}: if they shared it, {together} would do instead of {apart}."
    return (Refusal("sharing", names, apart - 1, enough=True, says=says),)


def why_impossible(zone: FoldZone, amplifiers: Sequence[AmplifierType]) -> Refusal | None:
    """Say why a zone cannot be served even by an amplifier of its own; None where it can.

    Parameters:
        zone: with its figures known.
        amplifiers: what can be bought.
    Returns:
        The limit that forbids it, or None.
    Raises:
        ValueError: a figure of the zone that is not known.
    Source: derived.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> six = tuple(FoldCoil(f"LS{n}", 8.0) for n in range(1, 7))
    >>> stacks = FoldZone(name="Stacks", coils=six, wanted_db=58, level_at_283_db=81, life_safety="no")
    >>> why_impossible(stacks, [AmplifierType("Two channels", (Mode("mono", 2, 4.0),))]).says
    'Stacks: 2.67 Ω on the fullest channel at best; 4 Ω or more is allowed (Two channels, mono).'
    """
    if _does([zone], amplifiers, count=1):
        return None
    modes = modes_for([zone], amplifiers)
    if not modes:
        return _alone("line kind", zone, says=f"no amplifier offered has an output for its line kind, {zone.kind}")
    best = [(_best_load_ohm(zone, mode), amplifier, mode) for amplifier, mode in modes]
    load, amplifier, mode = max(best, key=lambda found: found[0] / found[2].min_load_ohm)
    if not at_least(load, mode.min_load_ohm):
        allowed = f"{figure(mode.min_load_ohm)} Ω or more is allowed ({amplifier.name}, {mode.name})"
        return _alone("load", zone, says=f"{figure(load)} Ω on the fullest channel at best; {allowed}")
    if _does(*_without_drive_limits([zone], amplifiers), count=1):
        need = min(wiring.need_db for wiring in zone_wirings(zone, channels=1))
        return _alone(
            "drive", zone, says=f"it needs {_signed(need)} dB re 2.83 V, which amplifier or loudspeakers do not allow"
        )
    return _alone("mono", zone, says="not every channel would carry the same sum, and no mode that does is offered")


def _level_refusal(zones: Sequence[FoldZone], found: Widened | None, *, count: int) -> Refusal:
    names = tuple(zone.name for zone in zones)
    if found is None:
        says = f"{_for(count, zones)}: the wanted levels lie too far apart, whatever the loads."
        return Refusal("level", names, count, enough=False, says=says)
    out = [
        f"{zone.name} {_signed(error)} dB"
        for zone, error in found.errors_db
        if abs(error) > zone.tolerance_db + LEVEL_RESOLUTION_DB
    ]
    wider = f"every tolerance would have to be {found.wider_db:.1f} dB wider"
    return Refusal("level", names, count, enough=True, says=f"{_for(count, zones)}: {wider}; {', '.join(out)}.")


def _load_refusal(
    zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, count: int, found: Overloaded | None
) -> Refusal:
    names = tuple(zone.name for zone in zones)
    if found is None:
        says = f"{_for(count, zones)}: the loads are too heavy, whatever the levels."
        return Refusal("load", names, count, enough=False, says=says)
    if found.factor > 1:
        limits = {mode.min_load_ohm for _, mode in modes_for(zones, amplifiers)}
        ohm = f", {figure(min(limits) / found.factor)} Ω per channel at best" if len(limits) == 1 else ""
        text = f"{listed(found.zones)} together would load one to {found.factor:.0%} of its limit{ohm}"
    else:
        text = "their strings cannot be spread so that every channel keeps its smallest load"
    return Refusal(
        "load", names, count, enough=True, says=f"{_for(count, zones)}: the levels would allow it, but {text}."
    )


def _loosened(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, count: int) -> list[Refusal]:
    longer = [replace(zone, longest_string=max(zone.longest_string, LONGER_STRING)) for zone in zones]
    splitting = [replace(zone, may_split=True) for zone in zones]
    consequence = "one open coil then silences a whole string"
    trials = (
        ("series", longer, amplifiers, f"strings of up to {LONGER_STRING} would allow it; {consequence}"),
        ("split", splitting, amplifiers, "it would do if every zone could be spread over the channels"),
        ("drive", *_without_drive_limits(zones, amplifiers), "amplifiers or loudspeakers do not allow the drive"),
    )
    names = tuple(zone.name for zone in zones)
    return [
        Refusal(constraint, names, count, enough=True, says=f"{_for(count, zones)}: {text}.")
        for constraint, loosened, offered, text in trials
        if (loosened, list(offered)) != (list(zones), list(amplifiers)) and _does(loosened, offered, count=count)
    ]


def _does(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, count: int) -> bool:
    return fewest_amplifiers(zones, amplifiers, most=count) is not None


def _without_drive_limits(
    zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType]
) -> tuple[list[FoldZone], list[AmplifierType]]:
    unrated = [replace(zone, coils=tuple(replace(c, rated_power_w=None) for c in zone.coils)) for zone in zones]
    free = [replace(a, modes=tuple(replace(mode, max_drive_db=None) for mode in a.modes)) for a in amplifiers]
    return unrated, free


def _best_load_ohm(zone: FoldZone, mode: Mode) -> float:
    wirings = zone_wirings(zone, channels=mode.channels)
    return PICO / min(max(split.loads_ps) for wiring in wirings for split in wiring.splits)


def _alone(constraint: str, zone: FoldZone, *, says: str) -> Refusal:
    return Refusal(constraint, (zone.name,), 1, enough=True, says=f"{zone.name}: {says}.")


def _for(count: int, zones: Sequence[FoldZone]) -> str:
    return f"{counted(count, 'amplifier')} for {listed([zone.name for zone in zones])}"


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")
