"""Fold plans when only so many amplifiers of a type can be had: the same search, with each type counted."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final, TypeAlias

import numpy as np

from registry.engineering.bounds import in_range
from registry.engineering.folding_groups import Group, GroupTable, priced_groups
from registry.engineering.folding_nodes import Floats, Ints
from registry.engineering.folding_parts import AmplifierType, FoldZone, Weights
from registry.engineering.folding_plan import FoldPlan, folded_amplifier

MOST_COMBINATIONS: Final = 400  # of numbers by type: keeps the search to seconds

Counts: TypeAlias = tuple[int, ...]  # how many of each shelf


def within_stock(plan: FoldPlan, at_most: Mapping[str, int]) -> bool:
    """Whether a plan takes no more amplifiers of any type than there are.

    Parameters:
        plan: any plan.
        at_most: number by name of the type; a type that is not named can be had as often as needed.
    Returns:
        True or False.
    Raises:
        ValueError: never.
    Source: ours.

    >>> within_stock(FoldPlan((), 0.0, None), {"Make A NA-2": 1})
    True
    """
    used = Counter(amplifier.amplifier for amplifier in plan.amplifiers)
    return all(used[name] <= most for name, most in at_most.items())


def plans_within_stock(
    classes: Sequence[Sequence[FoldZone]],
    amplifiers: Sequence[AmplifierType],
    *,
    at_most: Mapping[str, int],
    weights: Weights | None = None,
) -> tuple[FoldPlan, ...]:
    """Find the best plan for each possible number of amplifiers that stays within the stock: exact, as `folding.fold`.

    Parameters:
        classes: zones by source, hours, controller and line kind; every zone with its figures known.
        amplifiers: what can be had; names unique. Prices count when all are known.
        at_most: 0 or more by name of the type; a type that is not named can be had as often as needed.
        weights: penalty points; None takes the usual ones.
    Returns:
        Plans, fewest amplifiers first; none where the stock does not do.
    Raises:
        ValueError: a number below 0, a figure of a zone that is not known, or too many combinations of numbers.
    Source: derived; dynamic programming over subsets of zones and numbers of each type.

    >>> from registry.engineering.folding_parts import FoldCoil, Mode
    >>> halls = [FoldZone(name=name, coils=(FoldCoil(name, 4.0),), wanted_db=60, level_at_283_db=80,
    ...          life_safety="no") for name in ("Bar", "Hall")]
    >>> one, two = (AmplifierType(name, (Mode("mono", 1, 4.0),), price) for name, price in (("One", 1.0), ("Two", 2.0)))
    >>> [plan] = plans_within_stock([halls], [one, two], at_most={"One": 1})
    >>> sorted(amplifier.amplifier for amplifier in plan.amplifiers)
    ['One', 'Two']
    """
    priced = all(amplifier.price is not None for amplifier in amplifiers)
    offered = [amplifier if priced else replace(amplifier, price=None) for amplifier in amplifiers]
    shelves = _shelves(offered, at_most, zones=sum(map(len, classes)))
    searches = [_ClassSearch(zones, shelves, weights=weights or Weights()) for zones in classes]
    best: dict[int, tuple[float, list[Counts]]] = {}
    for counts, (total, shares) in _joined(searches, [most for _, most in shelves]).items():
        if total < best.get(sum(counts), (math.inf, []))[0]:
            best[sum(counts)] = (total, shares)
    return tuple(_plan(searches, *best[number]) for number in sorted(best))


Shelf: TypeAlias = tuple[list[AmplifierType], int]


def _shelves(amplifiers: Iterable[AmplifierType], at_most: Mapping[str, int], *, zones: int) -> list[Shelf]:
    """Each limited type by itself with its number, all others together with as many as there are zones."""
    for name, most in at_most.items():
        in_range(f"number of {name}", most, 0, math.inf)
    limited = [([one], min(at_most[one.name], zones)) for one in amplifiers if one.name in at_most]
    free = [one for one in amplifiers if one.name not in at_most]
    shelves = [*limited, (free, zones)] if free else limited
    combinations = math.prod(most + 1 for _, most in shelves)
    if combinations > MOST_COMBINATIONS:
        raise ValueError(
            f"{combinations} combinations of numbers are too many, {MOST_COMBINATIONS} at most: limit fewer types"
        )
    return shelves


class _ClassSearch:
    """Zones of one class: the least total for every set of them and every number taken from each shelf."""

    def __init__(self, zones: Sequence[FoldZone], shelves: Sequence[Shelf], *, weights: Weights) -> None:
        self._tables: list[GroupTable] = [priced_groups(zones, types, weights=weights) for types, _ in shelves]
        self._least = np.full((1 << len(zones), *(most + 1 for _, most in shelves)), np.inf)
        self._least[(0,) * self._least.ndim] = 0.0
        for top in range(len(zones)):
            self._search(top)

    def _search(self, top: int) -> None:
        """Sets whose highest zone is `top`: the group with that zone, and a best partition of the rest."""
        sets = np.arange(1 << top, 2 << top)
        for shelf, table in enumerate(self._tables):
            for group in np.flatnonzero(np.isfinite(table.penalty[sets])) + (1 << top):
                wholes = sets[(sets & group) == group]
                self._take(wholes, int(group), shelf=shelf, penalty=float(table.penalty[group]))

    def _take(self, wholes: Ints, group: int, *, shelf: int, penalty: float) -> None:
        axis = shelf + 1
        rest = np.take(self._least[wholes ^ group], range(self._least.shape[axis] - 1), axis=axis) + penalty
        worst: Floats = np.full((len(wholes), *self._least.shape[1:]), np.inf)
        later = [slice(None)] * self._least.ndim
        later[axis] = slice(1, None)
        worst[tuple(later)] = rest
        self._least[wholes] = np.minimum(self._least[wholes], worst)

    def totals(self) -> dict[Counts, float]:
        """Least total of all zones for every possible number from each shelf."""
        whole = self._least[-1]
        return {tuple(map(int, at)): float(whole[tuple(at)]) for at in np.argwhere(np.isfinite(whole))}

    def groups(self, counts: Counts) -> list[Group]:
        """The groups of a best partition with these numbers."""
        found, mask, left = [], len(self._least) - 1, list(counts)
        while mask:
            shelf, group = self._last(mask, left)
            found.append((group & -group, self._tables[shelf].group(group)))
            mask ^= group
            left[shelf] -= 1
        return [group for _, group in sorted(found, key=lambda pair: pair[0])]

    def _last(self, mask: int, left: list[int]) -> tuple[int, int]:
        """The shelf and the group with the highest zone that a best partition takes last."""
        top = 1 << (mask.bit_length() - 1)
        groups = np.array([group for group in range(top, mask + 1) if group & mask == group])
        best = (math.inf, 0, 0)
        for shelf, table in enumerate(self._tables):
            if left[shelf]:
                before = tuple(count - (n == shelf) for n, count in enumerate(left))
                totals = self._least[(mask ^ groups, *before)] + table.penalty[groups]
                at = int(np.argmin(totals))
                best = min(best, (float(totals[at]), shelf, int(groups[at])))
        return best[1], best[2]


def _joined(searches: Sequence[_ClassSearch], most: Sequence[int]) -> dict[Counts, tuple[float, list[Counts]]]:
    """Least total of all classes for every number from each shelf, and what each class takes."""
    joined: dict[Counts, tuple[float, list[Counts]]] = {(0,) * len(most): (0.0, [])}
    for search in searches:
        wider: dict[Counts, tuple[float, list[Counts]]] = {}
        for before, (so_far, shares) in joined.items():
            for here, total in search.totals().items():
                counts = tuple(a + b for a, b in zip(before, here, strict=True))
                there = all(n <= limit for n, limit in zip(counts, most, strict=True))
                if there and so_far + total < wider.get(counts, (math.inf, []))[0]:
                    wider[counts] = (so_far + total, [*shares, here])
        joined = wider
    return joined


def _plan(searches: Sequence[_ClassSearch], total: float, shares: Sequence[Counts]) -> FoldPlan:
    groups = [group for search, counts in zip(searches, shares, strict=True) for group in search.groups(counts)]
    prices = [group.amplifier.price for group in groups]
    known = [price for price in prices if price is not None]
    return FoldPlan(
        amplifiers=tuple(folded_amplifier(number, group) for number, group in enumerate(groups, start=1)),
        penalty=total,
        price=sum(known) if len(known) == len(prices) else None,
    )
