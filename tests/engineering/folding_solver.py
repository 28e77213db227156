"""The outside check of fold plans by a general solver: the question as a mixed-integer program for scipy (HiGHS)."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import coo_array

from registry.engineering.folding import FoldZone, Mode, Weights
from tests.engineering.folding_cases import need_db, options

Row = dict[int, float]


@dataclass
class Program:
    """One binary per zone, option and amplifier (zone n may use amplifiers 0 to n), one level per amplifier."""

    zones: Sequence[FoldZone]
    mode: Mode
    rows: list[tuple[Row, float, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.options = [options(one, self.mode.channels) for one in self.zones]
        self.needs = [
            [need_db(one, option[0]) for option in of] for one, of in zip(self.zones, self.options, strict=True)
        ]
        self.boxes = range(len(self.zones))
        picks = [(z, o, a) for z in self.boxes for o in range(len(self.options[z])) for a in range(z + 1)]
        self.x = {pick: n for n, pick in enumerate(picks)}
        self.used = len(picks)
        self.level = self.used + len(self.boxes)
        self.error = self.level + len(self.boxes)
        self.size = self.error + len(self.zones)
        self.low, self.high = min(map(min, self.needs)) - 10, max(map(max, self.needs)) + 10
        for z, one in enumerate(self.zones):
            self.require({n: 1.0 for (of, _, _), n in self.x.items() if of == z}, 1.0, 1.0)
            for a in range(z + 1):
                self._level_rows(z, a, one.tolerance_db)
        for a in self.boxes:
            self._load_rows(a)
            self._class_rows(a)

    def require(self, row: Row, low: float, high: float) -> None:
        self.rows.append((row, low, high))

    def _level_rows(self, z: int, a: int, tolerance_db: float) -> None:
        """|level − need| is at most the error and the tolerance, if the zone is on this amplifier."""
        big = self.high - self.low
        chosen = [(self.x[z, o, a], need) for o, need in enumerate(self.needs[z])]
        self.require({n: 1.0 for n, _ in chosen} | {self.used + a: -1.0}, -np.inf, 0.0)
        for sign in (1.0, -1.0):
            row = {n: big - sign * need for n, need in chosen} | {self.level + a: sign}
            self.require(row | {self.error + z: -1.0}, -np.inf, big)
            self.require(row, -np.inf, big + tolerance_db)

    def _load_rows(self, a: int) -> None:
        for channel in range(self.mode.channels):
            loads = {n: self.options[z][o][1][channel] for (z, o, at), n in self.x.items() if at == a}
            self.require(loads | {self.used + a: -(1 + 1e-9) / self.mode.min_load_ohm}, -np.inf, 0.0)

    def _class_rows(self, a: int) -> None:
        for z, other in combinations(range(a, len(self.zones)), 2):
            if _class(self.zones[z]) != _class(self.zones[other]):
                both = {n: 1.0 for (of, _, at), n in self.x.items() if of in (z, other) and at == a}
                self.require(both, -np.inf, 1.0)

    def solve(self, weights: Weights, seconds: float) -> OptimizeResult:
        cost, lower, upper, whole = (np.zeros(self.size) for _ in range(4))
        for (z, o, _), n in self.x.items():
            cost[n] = weights.series * self.options[z][o][2] + weights.rewiring * self.options[z][o][3]
        cost[self.used : self.level] = weights.amplifier
        cost[self.error :] = [weights.level * one.weight for one in self.zones]
        upper[: self.level] = whole[: self.level] = 1
        lower[self.level : self.error], upper[self.level : self.error] = self.low, self.high
        upper[self.error :] = self.high - self.low
        at = [(r, n, value) for r, (row, _, _) in enumerate(self.rows) for n, value in row.items()]
        rows, columns, values = zip(*at, strict=True)
        matrix = coo_array((values, (rows, columns)), shape=(len(self.rows), self.size)).tocsr()
        limits = LinearConstraint(matrix, [row[1] for row in self.rows], [row[2] for row in self.rows])
        settings = {"time_limit": seconds, "mip_rel_gap": 0.0}
        return milp(cost, constraints=limits, bounds=Bounds(lower, upper), integrality=whole, options=settings)


def _class(one: FoldZone) -> tuple[str, ...]:
    return (one.source, one.hours, one.controller)


def integer_program(zones: Sequence[FoldZone], mode: Mode, weights: Weights, *, seconds: float) -> OptimizeResult:
    """Solve a fold plan of one amplifier type in one mode; pairs of zones are no linear cost, so no shared fate."""
    return Program(zones, mode).solve(weights, seconds)
