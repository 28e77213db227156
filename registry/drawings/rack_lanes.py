"""Which items of a rack share units, and who stands left of whom when they are drawn."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Lane:
    """The place of an item among `count` that share its units, counted from the left."""

    index: int
    count: int


def side_by_side(spans: Sequence[tuple[int, int]]) -> list[Lane]:
    """Give every item a lane so that no two in the same unit share one; items of one cluster are equally wide.

    Parameters: `spans` (bottom unit, height in units), both 1 or more.
    Raises: ValueError for a bottom or a height below 1.
    Source: common practice (interval colouring, first free lane).

    >>> side_by_side([(1, 2), (2, 1), (5, 1)])
    [Lane(index=0, count=2), Lane(index=1, count=2), Lane(index=0, count=1)]
    """
    for bottom, height in spans:
        if bottom < 1 or height < 1:
            raise ValueError(f"Units and heights are 1 or more, got unit {bottom}, height {height}")
    lanes: list[Lane | None] = [None] * len(spans)
    for cluster in _clusters(spans):
        taken: list[int] = []  # the first free unit of each lane
        given: dict[int, int] = {}
        for at in cluster:
            bottom, height = spans[at]
            free = next((lane for lane, until in enumerate(taken) if until <= bottom), len(taken))
            taken[free : free + 1] = [bottom + height]
            given[at] = free
        for at, lane in given.items():
            lanes[at] = Lane(lane, len(taken))
    return [lane for lane in lanes if lane is not None]


def _clusters(spans: Sequence[tuple[int, int]]) -> list[list[int]]:
    clusters: list[list[int]] = []
    reach = 0
    for at in sorted(range(len(spans)), key=lambda at: (spans[at][0], at)):
        bottom, height = spans[at]
        if not clusters or bottom >= reach:
            clusters.append([])
        clusters[-1].append(at)
        reach = max(reach, bottom + height)
    return clusters
