"""Groups of zones with one wiring each, as numpy columns: grown zone by zone while load and level can still be kept."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from registry.engineering.amplifier import ROUNDING
from registry.engineering.folding_options import ZoneWiring
from registry.engineering.folding_parts import Mode, Weights

BLOCK: Final = 1 << 16  # groups grown at a time, so that many do not fill the memory
LEVEL_RESOLUTION_DB: Final = 0.05  # half the last digit of a reading: an error of 2.02 dB keeps a tolerance of 2 dB

Floats: TypeAlias = npt.NDArray[np.float64]
Ints: TypeAlias = npt.NDArray[np.int64]
Bools: TypeAlias = npt.NDArray[np.bool_]


class WiringColumns:
    """Every wiring of every zone of a class, one row each, for one amplifier mode."""

    def __init__(self, wirings: Sequence[tuple[int, ZoneWiring]], mode: Mode) -> None:
        """Lay out the rows: `wirings` are (number of the zone, wiring) in the order of the zones."""
        self.zone = np.array([zone for zone, _ in wirings], dtype=np.int64)
        each = [wiring for _, wiring in wirings]
        limit = np.inf if mode.max_drive_db is None else mode.max_drive_db
        tolerance = np.array([w.zone.tolerance_db for w in each])
        self.need = np.array([w.need_db for w in each])
        self.low, self.high = self.need - tolerance, self.need + tolerance
        self.cap = np.minimum(np.array([w.cap_db for w in each]), limit)
        self.load = np.array([w.load_s for w in each])
        self.weight = np.array([w.zone.weight for w in each])
        self.strings = np.array([w.series_strings for w in each])
        self.changes = np.array([w.fewest_changes for w in each])


@dataclass(frozen=True, slots=True)
class Nodes:
    """Groups of one size: `picked` rows of the wirings (n × size), their common level window and summed load."""

    picked: Ints
    low: Floats
    high: Floats
    cap: Floats
    load: Floats

    def kept(self, rows: Bools | slice) -> "Nodes":
        """Only these rows."""
        return Nodes(self.picked[rows], self.low[rows], self.high[rows], self.cap[rows], self.load[rows])

    def window(self) -> tuple[Floats, Floats]:
        """Levels that keep every tolerance and limit; where only the resolution allows it, the one in the middle."""
        middle = (self.low + self.high) / 2.0
        high = np.minimum(np.maximum(self.high, middle), self.cap)
        return np.minimum(np.minimum(self.low, middle), high), high


def grown_nodes(columns: WiringColumns, mode: Mode) -> Iterator[Nodes]:
    """Groups of one zone, of two, of three ... that break neither the total load nor the level window.

    A group that cannot be kept is left out, and with it every larger group that holds it.

    Parameters:
        columns: the wirings of the zones.
        mode: for its channels and their smallest load.
    Returns:
        One batch of groups per size.
    Raises:
        ValueError: nothing beyond what Mode refuses.
    Source: derived; conductances add, and the channels together carry `channels / min_load_ohm`.

    >>> from registry.engineering.folding_options import zone_wirings
    >>> from registry.engineering.folding_parts import FoldCoil, FoldZone
    >>> zone = FoldZone(name="Bar", coils=(FoldCoil("LS1", 8.0),), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> mode = Mode("two channels", 2, 4.0)
    >>> columns = WiringColumns([(0, zone_wirings(zone, channels=2)[0])], mode)
    >>> [nodes.picked.tolist() for nodes in grown_nodes(columns, mode)]
    [[[0]]]
    """
    most_s = mode.channels / mode.min_load_ohm * (1.0 + ROUNDING)
    rows = np.arange(len(columns.zone))
    nodes = Nodes(rows[:, None], columns.low, columns.high, columns.cap, columns.load)
    nodes = nodes.kept(_possible(nodes.low, nodes.high, cap=nodes.cap, load=nodes.load, most_s=most_s))
    while len(nodes.picked):
        yield nodes
        nodes = _grow(nodes, columns, most_s=most_s)


def _possible(low: Floats, high: Floats, *, cap: Floats, load: Floats, most_s: float) -> Bools:
    highest = np.minimum(high + LEVEL_RESOLUTION_DB, cap)
    possible: Bools = (low - LEVEL_RESOLUTION_DB <= highest + 1e-9) & (load <= most_s)
    return possible


def _grow(nodes: Nodes, columns: WiringColumns, *, most_s: float) -> Nodes:
    """Every group with one wiring more, of a zone behind its last one, so that each larger group is made once."""
    blocks = range(0, len(nodes.picked), BLOCK)
    parts = [_grown(nodes.kept(slice(start, start + BLOCK)), columns, most_s=most_s) for start in blocks]
    return Nodes(*(np.concatenate([getattr(part, name) for part in parts]) for name in Nodes.__slots__))


def _grown(nodes: Nodes, columns: WiringColumns, *, most_s: float) -> Nodes:
    low = np.maximum(nodes.low[:, None], columns.low)
    high = np.minimum(nodes.high[:, None], columns.high)
    cap = np.minimum(nodes.cap[:, None], columns.cap)
    load = nodes.load[:, None] + columns.load
    behind = columns.zone[nodes.picked[:, -1]][:, None] < columns.zone
    which, row = np.nonzero(behind & _possible(low, high, cap=cap, load=load, most_s=most_s))
    picked = np.column_stack([nodes.picked[which], row])
    return Nodes(picked, low[which, row], high[which, row], cap[which, row], load[which, row])


def node_penalties(nodes: Nodes, columns: WiringColumns, *, weights: Weights) -> Floats:
    """Penalty of each group before splits: level error at its best level, series strings, rewiring, shared fate.

    The best level is a weighted median of the needed drives, moved into the window: Σ w·|level − need| is convex.

    Parameters:
        nodes, columns: the groups, and the wirings that they pick from.
        weights: penalty points.
    Returns:
        Penalties, one for each group.
    Raises:
        ValueError: nothing beyond what Weights refuses.
    Source: derived (the weighted median minimises a weighted sum of distances).

    >>> from registry.engineering.folding_options import zone_wirings
    >>> from registry.engineering.folding_parts import FoldCoil, FoldZone
    >>> zone = FoldZone(name="Bar", coils=(FoldCoil("LS1", 8.0),), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> mode = Mode("two channels", 2, 4.0)
    >>> columns = WiringColumns([(0, zone_wirings(zone, channels=2)[0])], mode)
    >>> [node_penalties(nodes, columns, weights=Weights()).tolist() for nodes in grown_nodes(columns, mode)]
    [[0.0]]
    """
    needs, weight = columns.need[nodes.picked], columns.weight[nodes.picked]
    order = np.argsort(needs, axis=1, kind="stable")
    summed = np.cumsum(np.take_along_axis(weight, order, axis=1), axis=1)
    half = np.argmax(summed >= summed[:, -1:] / 2.0, axis=1)
    median = np.take_along_axis(needs, np.take_along_axis(order, half[:, None], axis=1), axis=1)[:, 0]
    low, high = nodes.window()
    error = (weight * np.abs(np.clip(median, low, high)[:, None] - needs)).sum(axis=1)
    pairs = (weight.sum(axis=1) ** 2 - (weight**2).sum(axis=1)) / 2.0
    penalties: Floats = (
        weights.level * error
        + weights.series * columns.strings[nodes.picked].sum(axis=1)
        + weights.rewiring * columns.changes[nodes.picked].sum(axis=1)
        + weights.shared_fate * pairs
    )
    return penalties


def node_widenings(nodes: Nodes) -> Floats:
    """How much wider [dB] every tolerance of a group would have to be for one level to serve it (negative: room left).

    Parameters:
        nodes: the groups.
    Returns:
        Widenings [dB], one for each group.
    Raises:
        ValueError: never.
    Source: derived: half of what the windows miss each other by, or all of what a drive limit is missed by.

    >>> far = Nodes(np.array([[0, 1]]), np.array([-20.0]), np.array([-25.0]), np.array([np.inf]), np.array([0.1]))
    >>> node_widenings(far).tolist()
    [2.5]
    """
    widenings: Floats = np.maximum((nodes.low - nodes.high) / 2.0, nodes.low - nodes.cap)
    return widenings
