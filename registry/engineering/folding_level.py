"""The one level of an amplifier that serves its zones best."""

import math
from collections.abc import Sequence

from registry.engineering.folding_options import ZoneWiring


def best_level_db(wirings: Sequence[ZoneWiring], *, max_drive_db: float | None) -> float:
    """The one level [dB re 2.83 V] of an amplifier: least Σ weight·|level − need| within every tolerance and limit.

    Where several levels cost the same, the one nearest the middle between the lowest and the highest need.

    Parameters:
        wirings: the zones on the amplifier as wired, at least one.
        max_drive_db: highest drive of the mode [dB re 2.83 V], None when not known.
    Returns:
        Level [dB re 2.83 V].
    Raises:
        ValueError: no zone.
    Source: derived (weighted median, then midrange).

    >>> from registry.engineering.folding_options import zone_wirings
    >>> from registry.engineering.folding_parts import FoldCoil, FoldZone
    >>> two = [FoldZone(name=name, coils=(FoldCoil(name, 8.0),), wanted_db=wanted, level_at_283_db=80, life_safety="no")
    ...        for name, wanted in (("Bar", 60), ("Hall", 62))]
    >>> best_level_db([zone_wirings(zone, channels=2)[0] for zone in two], max_drive_db=None)
    -19.0
    """
    if not wirings:
        raise ValueError("an amplifier needs at least one zone to have a level")
    low, high = _window(wirings, math.inf if max_drive_db is None else max_drive_db)
    flat_low, flat_high = _medians(sorted((w.need_db, w.zone.weight) for w in wirings))
    needs = [wiring.need_db for wiring in wirings]
    middle = (min(needs) + max(needs)) / 2.0
    level = min(max(middle, flat_low), flat_high)
    if high < flat_low or low > flat_high:
        return min(max(level, low), high)
    return min(max(level, low, flat_low), high, flat_high)


def _window(wirings: Sequence[ZoneWiring], limit: float) -> tuple[float, float]:
    low = max(w.need_db - w.zone.tolerance_db for w in wirings)
    high = min(w.need_db + w.zone.tolerance_db for w in wirings)
    middle = (low + high) / 2.0
    top = min(max(high, middle), limit, *(w.cap_db for w in wirings))
    return min(low, middle, top), top


def _medians(needs: list[tuple[float, float]]) -> tuple[float, float]:
    total, summed = sum(weight for _, weight in needs), 0.0
    if total == 0:
        return needs[0][0], needs[-1][0]
    low = None
    for need, weight in needs:
        summed += weight
        if low is None and summed >= total / 2.0 - 1e-12:
            low = need
        if summed > total / 2.0 + 1e-12:
            return (need if low is None else low), need
    return needs[0][0], needs[-1][0]
