"""What every group of zones costs on one amplifier: all wirings × all groups × all modes, level and load, exact."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np

from registry.engineering.folding_loads import Packer
from registry.engineering.folding_nodes import (
    Floats,
    Ints,
    Nodes,
    WiringColumns,
    grown_nodes,
    node_penalties,
    node_widenings,
)
from registry.engineering.folding_options import Split, ZoneWiring, zone_wirings
from registry.engineering.folding_parts import AmplifierType, FoldZone, Mode, Weights

PriceOf: TypeAlias = Callable[[Nodes, WiringColumns], Floats]
Priced: TypeAlias = tuple[np.float64, Ints]

ANY_LEVEL_DB: Final = 1000.0  # wider than any level error: turns the tolerance off as a limit


@dataclass(frozen=True, slots=True)
class Group:
    """Zones that share one amplifier: its type and mode, how each zone is wired and spread over the channels."""

    amplifier: AmplifierType
    mode: Mode
    wirings: tuple[ZoneWiring, ...]
    splits: tuple[Split, ...]


class _OnMode:
    """One amplifier in one mode: the wirings it allows, the packer of its channels, what it costs by itself."""

    def __init__(self, zones: Sequence[FoldZone], amplifier: AmplifierType, *, mode: Mode) -> None:
        self.amplifier, self.mode = amplifier, mode
        wired = [(n, w) for n, zone in enumerate(zones) for w in zone_wirings(zone, channels=mode.channels)]
        self.wirings = [wiring for _, wiring in wired]
        self.columns = WiringColumns(wired, mode)
        self.packer = Packer(self.wirings, mode)

    def allows(self, picked: tuple[int, ...]) -> int | None:
        """Fewest changes of wiring with which the channels carry these wirings; None where they do not."""
        if not self.mode.mono:
            rooms = {coil.room for row in picked for coil in self.wirings[row].zone.coils}
            if len(rooms) > 1 or "" in rooms:  # a room that is not known may be another one
                return None
        return self.packer.fewest_changes(picked)

    def group(self, picked: tuple[int, ...]) -> Group:
        wirings = tuple(self.wirings[row] for row in picked)
        return Group(self.amplifier, self.mode, wirings, tuple(self.packer.splits_of(picked)))


class GroupTable:
    """The best way to put each group (a bit mask of the zones) on one amplifier; `penalty[mask]` inf: no way."""

    def __init__(self, zones: Sequence[FoldZone]) -> None:
        """Begin with no group possible."""
        self.penalty: Floats = np.full(1 << len(zones), np.inf)
        self._best: dict[int, tuple[_OnMode, tuple[int, ...]]] = {}

    def group(self, mask: int) -> Group:
        """The amplifier, wirings and splits behind `penalty[mask]`."""
        on_mode, picked = self._best[mask]
        return on_mode.group(picked)

    def offer(self, on_mode: _OnMode, price_of: PriceOf, *, base: float, rewiring: float) -> None:
        """Take every group that is cheaper on this amplifier and mode than on those before."""
        for nodes in grown_nodes(on_mode.columns, on_mode.mode):
            masks = (1 << on_mode.columns.zone)[nodes.picked].sum(axis=1)
            prices = price_of(nodes, on_mode.columns) + base
            order = np.lexsort((prices, masks))
            starts = np.flatnonzero(np.diff(masks[order])) + 1
            for rows in np.split(order, starts):
                self._offer_mask(
                    int(masks[rows[0]]),
                    zip(prices[rows], nodes.picked[rows], strict=True),
                    on_mode=on_mode,
                    rewiring=rewiring,
                )

    def _offer_mask(self, mask: int, cheapest_first: Iterable[Priced], *, on_mode: _OnMode, rewiring: float) -> None:
        for price, row in cheapest_first:
            if price >= self.penalty[mask]:
                return
            picked = tuple(row.tolist())
            changes = on_mode.allows(picked)
            if changes is None:
                continue
            whole = float(price) + rewiring * (changes - int(on_mode.columns.changes[row].sum()))
            if whole < self.penalty[mask]:
                self.penalty[mask] = whole
                self._best[mask] = (on_mode, picked)


def priced_groups(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], *, weights: Weights) -> GroupTable:
    """Penalty of every group of these zones on its best amplifier, mode, wiring, split and level.

    Parameters:
        zones: that may share an amplifier: one source, hours, controller and line kind.
        amplifiers: what can be bought; only modes of the zones' line kind are used. Prices count when all are known.
        weights: penalty points.
    Returns:
        Penalty by bit mask of the zones.
    Raises:
        ValueError: a figure of a zone that is not known.
    Source: derived; exhaustive over wirings, splits and modes.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> zone = FoldZone(name="Bar", coils=(FoldCoil("LS1", 8.0),), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> two = AmplifierType("Two channels", (Mode("mono", 2, 4.0),))
    >>> priced_groups([zone], [two], weights=Weights()).penalty.tolist()
    [inf, 1000.0]
    """
    table = GroupTable(zones)
    prices_known = all(amplifier.price is not None for amplifier in amplifiers)
    for amplifier, mode in modes_for(zones, amplifiers):
        table.offer(
            _OnMode(zones, amplifier, mode=mode),
            lambda nodes, columns: node_penalties(nodes, columns, weights=weights),
            base=weights.amplifier + (weights.price * (amplifier.price or 0.0) if prices_known else 0.0),
            rewiring=weights.rewiring,
        )
    return table


def widened_groups(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType]) -> GroupTable:
    """For every group that the loads allow, how much wider its tolerances would have to be [dB] (0 or less: they do).

    Parameters:
        zones, amplifiers: as for `priced_groups`.
    Returns:
        Widening [dB] by bit mask of the zones, inf where the loads forbid a group.
    Raises:
        ValueError: a figure of a zone that is not known.
    Source: derived; the same search with the level's limit turned into the price.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> one = FoldCoil("LS1", 8.0)
    >>> bar = FoldZone(name="Bar", coils=(one,), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> hall = FoldZone(name="Hall", coils=(FoldCoil("LS2", 8.0),), wanted_db=50, level_at_283_db=80, life_safety="no")
    >>> two = AmplifierType("Two channels", (Mode("mono", 2, 4.0),))
    >>> widened_groups([bar, hall], [two]).penalty.tolist()
    [inf, -2.0, -2.0, 3.0]
    """
    table = GroupTable(zones)
    lenient = [replace(zone, tolerance_db=zone.tolerance_db + ANY_LEVEL_DB) for zone in zones]
    for amplifier, mode in modes_for(zones, amplifiers):
        on_mode = _OnMode(lenient, amplifier, mode=mode)
        table.offer(on_mode, lambda nodes, _: node_widenings(nodes) + ANY_LEVEL_DB, base=0.0, rewiring=0.0)
    return table


def modes_for(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType]) -> list[tuple[AmplifierType, Mode]]:
    """The amplifiers and modes whose outputs suit the line kind of these zones.

    Parameters:
        zones, amplifiers: zones of one line kind; what can be bought.
    Returns:
        Pairs of amplifier and mode, none where no output suits.
    Raises:
        ValueError: never.
    Source: common practice: a line is low-impedance or of one constant voltage, never both on one output.

    >>> from registry.engineering.folding_parts import FoldCoil
    >>> bar = FoldZone(name="Bar", coils=(FoldCoil("LS1", 8.0),), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> both = AmplifierType("Both", (Mode("low", 2, 4.0), Mode("100 V", 2, 100.0, kind="100")))
    >>> [mode.name for _, mode in modes_for([bar], [both])]
    ['low']
    """
    kinds = {zone.kind for zone in zones}
    return [(amplifier, mode) for amplifier in amplifiers for mode in amplifier.modes if {mode.kind} == kinds]
