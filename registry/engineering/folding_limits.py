"""Searches with one limit taken away: any level, any load. They tell which limit a fold plan runs into."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from registry.engineering.folding_groups import modes_for, priced_groups, widened_groups
from registry.engineering.folding_level import best_level_db
from registry.engineering.folding_nodes import LEVEL_RESOLUTION_DB, Floats, WiringColumns
from registry.engineering.folding_options import zone_wirings
from registry.engineering.folding_parts import AmplifierType, FoldZone, Weights
from registry.engineering.folding_search import Partitions


def fewest_amplifiers(
    zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, most: int | None = None
) -> int | None:
    """Smallest number of amplifiers for zones of one class, None where no number (up to `most`) is enough.

    Parameters:
        zones, amplifiers: zones of one source, hours, controller and line kind; what can be bought.
        most: largest number to look at; None looks at all.
    Returns:
        Number of amplifiers, or None.
    Raises:
        ValueError: a figure of a zone that is not known.
    Source: derived; exact search.

    >>> from registry.engineering.folding_parts import FoldCoil, Mode
    >>> bar = FoldZone(name="Bar", coils=(FoldCoil("LS1", 8.0),), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> fewest_amplifiers([bar], [AmplifierType("Two channels", (Mode("mono", 2, 16.0),))]) is None
    True
    """
    weights = Weights(amplifier=1.0, price=0.0, level=0.0, rewiring=0.0, series=0.0, shared_fate=0.0)
    return Partitions(priced_groups(zones, amplifiers, weights=weights).penalty, most=most).fewest()


@dataclass(frozen=True, slots=True)
class Widened:
    """What `count` amplifiers would do to the levels: how much wider the tolerances would be, error by zone [dB]."""

    wider_db: float
    errors_db: tuple[tuple[FoldZone, float], ...]


def widened(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, count: int) -> Widened | None:
    """The least by which every tolerance must be wider for `count` amplifiers; None where the loads forbid it anyway.

    Parameters:
        zones, amplifiers: as for `fewest_amplifiers`.
        count: number of amplifiers, 1 or more.
    Returns:
        What the levels would be, or None.
    Raises:
        ValueError: a figure of a zone that is not known.
    Source: derived; bottleneck partition, exact.

    >>> from registry.engineering.folding_parts import FoldCoil, Mode
    >>> bar, hall = (FoldZone(name=name, coils=(FoldCoil(name, 8.0),), wanted_db=wanted, level_at_283_db=80,
    ...              life_safety="no") for name, wanted in (("Bar", 60), ("Hall", 50)))
    >>> found = widened([bar, hall], [AmplifierType("Two", (Mode("mono", 2, 4.0),))], count=1)
    >>> found.wider_db, [error for _, error in found.errors_db]
    (3.0, [-5.0, 5.0])
    """
    table = widened_groups(zones, amplifiers)
    parts = Partitions(table.penalty, worst=True, most=count)
    if count >= len(parts.total) or not np.isfinite(parts.total[count]):
        return None
    given = {zone.name: zone for zone in zones}
    errors = []
    for mask in parts.groups(count):
        group = table.group(mask)
        wirings = [replace(wiring, zone=given[wiring.zone.name]) for wiring in group.wirings]
        level = best_level_db(wirings, max_drive_db=group.mode.max_drive_db)
        errors += [(wiring.zone, level - wiring.need_db) for wiring in wirings]
    return Widened(parts.total[count], tuple(sorted(errors, key=lambda pair: -abs(pair[1]))))


@dataclass(frozen=True, slots=True)
class Overloaded:
    """What `count` amplifiers would have to carry: the fullest one's load against what it allows, and its zones."""

    factor: float
    zones: tuple[str, ...]


def overloaded(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, count: int) -> Overloaded | None:
    """Least load on the fullest of `count` amplifiers if loads were no limit; None where the levels forbid it anyway.

    A factor of 1.5 is 1.5 times the conductance allowed, spread evenly over the channels; at 1 or less only the
    strings, which cannot be cut, stand in the way.

    Parameters:
        zones, amplifiers: as for `fewest_amplifiers`.
        count: number of amplifiers, 1 or more.
    Returns:
        What the fullest amplifier would carry, or None.
    Raises:
        ValueError: a figure of a zone that is not known.
    Source: derived; bottleneck partition, exact.

    >>> from registry.engineering.folding_parts import FoldCoil, Mode
    >>> bar, hall = (FoldZone(name=name, coils=(FoldCoil(name, 4.0),), wanted_db=60, level_at_283_db=80,
    ...              life_safety="no") for name in ("Bar", "Hall"))
    >>> overloaded([bar, hall], [AmplifierType("One", (Mode("mono", 1, 4.0),))], count=1)
    Overloaded(factor=2.0, zones=('Bar', 'Hall'))
    """
    factors = _load_factors(zones, amplifiers)
    parts = Partitions(factors, worst=True, most=count)
    if count >= len(parts.total) or not np.isfinite(parts.total[count]):
        return None
    fullest = max(parts.groups(count), key=lambda mask: factors[mask])
    names = tuple(zone.name for number, zone in enumerate(zones) if fullest >> number & 1)
    return Overloaded(float(factors[fullest]), names)


def _load_factors(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType]) -> Floats:
    """For each bit mask the least load of its zones at one level, against what an amplifier allows; inf without one."""
    factors: Floats = np.full(1 << len(zones), np.inf)
    for _, mode in modes_for(zones, amplifiers):
        wired = [(n, w) for n, zone in enumerate(zones) for w in zone_wirings(zone, channels=mode.channels)]
        columns = WiringColumns(wired, mode)
        allowed_s = mode.channels / mode.min_load_ohm
        for level in np.unique(columns.low) - LEVEL_RESOLUTION_DB:
            factors = np.minimum(factors, _loads_at(float(level), columns, zones=len(zones)) / allowed_s)
    return factors


def _loads_at(level: float, columns: WiringColumns, *, zones: int) -> Floats:
    """Summed load of every bit mask when each zone takes its lightest wiring that suits this level."""
    low, high = columns.low - LEVEL_RESOLUTION_DB, columns.high + LEVEL_RESOLUTION_DB
    suits = (low <= level + 1e-9) & (level <= np.minimum(high, columns.cap) + 1e-9)
    lightest = np.full(zones, np.inf)
    np.minimum.at(lightest, columns.zone[suits], columns.load[suits])
    loads: Floats = np.zeros(1)
    for load in lightest:
        loads = np.concatenate([loads, loads + load])
    return loads
