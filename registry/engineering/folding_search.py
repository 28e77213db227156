"""Dynamic programming over subsets: the cheapest way to part a class of zones into exactly n groups, for every n."""

from collections.abc import Callable

import numpy as np

from registry.engineering.folding_nodes import Floats, Ints


class Partitions:
    """Best partitions of a set of zones into groups; `total[n]` is the least total for exactly n groups, inf: none."""

    def __init__(self, penalty: Floats, *, worst: bool = False, most: int | None = None) -> None:
        """Search all partitions of `penalty` (one entry for each bit mask, inf where a group is impossible).

        With `worst` the total is the largest penalty of a group instead of the sum; with `most` partitions into more
        groups than that are not looked at.
        """
        self._penalty = penalty
        self._join: Callable[[Floats, Floats | float], Floats] = np.maximum if worst else np.add
        self._size = len(penalty).bit_length() - 1
        self._most = self._size if most is None else min(most, self._size)
        self._least = self._search()
        self.total: list[float] = self._least[-1].tolist()

    def fewest(self) -> int | None:
        """Smallest number of groups that is possible at all."""
        return next((n for n, total in enumerate(self.total) if np.isfinite(total)), None)

    def groups(self, count: int) -> list[int]:
        """The bit masks of a best partition into `count` groups."""
        mask, found = len(self._penalty) - 1, []
        for left in range(count, 0, -1):
            masks = _with_highest_bit_of(mask)
            totals = self._join(self._least[mask ^ masks, left - 1], self._penalty[masks])
            best = int(masks[int(np.argmin(totals))])
            found.append(best)
            mask ^= best
        return found

    def _search(self) -> Floats:
        # least[mask, n]: a set is its group with the highest zone plus a best partition of the rest.
        least = np.full((len(self._penalty), self._most + 1), np.inf)
        least[0, 0] = 0.0
        for group, wholes in reversed(self._steps()):
            joined = self._join(least[wholes ^ group, :-1], float(self._penalty[group]))
            least[wholes, 1:] = np.minimum(least[wholes, 1:], joined)
        return least

    def _steps(self) -> list[tuple[int, Ints]]:
        """Each possible group with the sets it may be taken from, of those that are left when groups are taken away."""
        needed = np.zeros(len(self._penalty), dtype=np.bool_)
        needed[-1] = True
        steps = []
        for top in reversed(range(self._size)):
            sets = np.flatnonzero(needed[1 << top : 2 << top]) + (1 << top)
            for group in np.flatnonzero(np.isfinite(self._penalty[1 << top : 2 << top])) + (1 << top):
                wholes = sets[(sets & group) == group]
                needed[wholes ^ group] = True
                steps.append((int(group), wholes))
        return steps


def _with_highest_bit_of(mask: int) -> Ints:
    top = 1 << (mask.bit_length() - 1)
    inner = np.arange(top)
    masks: Ints = inner[(inner & ~(mask ^ top)) == 0] + top
    return masks


def combined(totals: list[list[float]]) -> tuple[list[float], list[list[int]]]:
    """Join classes that never share an amplifier: least total for each number of amplifiers, and each class's share.

    Parameters:
        totals: for each class the least total for 0, 1, 2 ... amplifiers, inf where impossible.
    Returns:
        Least total for each number, and how many of them each class gets.
    Raises:
        ValueError: never.
    Source: derived (min-plus convolution).

    >>> combined([[float("inf"), 5.0, 1.0], [float("inf"), 2.0]])
    ([inf, inf, 7.0, 3.0], [[], [], [1, 1], [2, 1]])
    """
    least, shares = [0.0], [list[int]()]
    for total in totals:
        size = len(least) + len(total) - 1
        wider, chosen = [float("inf")] * size, [list[int]() for _ in range(size)]
        for before, so_far in enumerate(least):
            for count, here in enumerate(total):
                if so_far + here < wider[before + count]:
                    wider[before + count], chosen[before + count] = so_far + here, [*shares[before], count]
        least, shares = wider, chosen
    return least, shares
