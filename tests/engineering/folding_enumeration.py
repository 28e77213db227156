"""The outside check of fold plans: every partition of the zones, every wiring, nothing clever."""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from registry.engineering.folding import AmplifierType, FoldPlan, FoldZone, Mode, Weights
from tests.engineering.folding_cases import Option, need_db, options

RESOLUTION_DB = 0.05


def partitions(things: Sequence[int]) -> Iterator[list[list[int]]]:
    """Every way to part some things into groups (Bell's number of them)."""
    if not things:
        yield []
        return
    first, rest = things[0], things[1:]
    for size in range(len(rest) + 1):
        for others in combinations(rest, size):
            for more in partitions([thing for thing in rest if thing not in others]):
                yield [[first, *others], *more]


def level_penalty(zones: Sequence[FoldZone], chosen: Sequence[Option], limit: float) -> float:
    """Least Σ weight·|level − need| over the levels at which it can change; inf where no level will do."""
    needs = [need_db(one, option[0]) for one, option in zip(zones, chosen, strict=True)]
    low = max(need - one.tolerance_db for need, one in zip(needs, zones, strict=True))
    high = min(need + one.tolerance_db for need, one in zip(needs, zones, strict=True))
    levels = [*needs, low, high, limit] if low <= min(high, limit) else [min((low + high) / 2, limit), limit]
    slack = 1e-9 if low <= min(high, limit) else RESOLUTION_DB + 1e-9
    return min(
        (
            math.fsum(one.weight * abs(level - need) for one, need in zip(zones, needs, strict=True))
            for level in levels
            if level <= limit
            and all(abs(level - need) <= one.tolerance_db + slack for one, need in zip(zones, needs, strict=True))
        ),
        default=math.inf,
    )


def ratings(zones: Sequence[FoldZone], chosen: Sequence[Option]) -> float:
    """Highest drive that the loudspeakers of a group allow, dB re 2.83 V."""
    return min(
        20 * math.log10(math.sqrt(coil.rated_power_w * (coil.impedance_ohm or 0)) / 2.83 * option[0]) + one.control_db
        if coil.rated_power_w
        else math.inf
        for one, option in zip(zones, chosen, strict=True)
        for coil in one.coils
    )


def group_penalty(zones: Sequence[FoldZone], amplifier: AmplifierType, mode: Mode, weights: Weights) -> float:
    """Least penalty of some zones on one amplifier in one mode, over the product of their wirings."""
    if len({(one.source, one.hours, one.controller, one.kind) for one in zones}) > 1 or zones[0].kind != mode.kind:
        return math.inf
    if not mode.mono and len({coil.room for one in zones for coil in one.coils}) > 1:
        return math.inf
    best = math.inf
    for chosen in _choices([options(one, mode.channels) for one in zones], [0.0] * mode.channels, mode):
        if not mode.mono and any(sum(o[1][c] for o in chosen) == 0 for c in range(mode.channels)):
            continue
        limit = min(math.inf if mode.max_drive_db is None else mode.max_drive_db, ratings(zones, chosen))
        rest = sum(weights.series * strings + weights.rewiring * changes for _, _, strings, changes in chosen)
        best = min(best, weights.level * level_penalty(zones, chosen, limit) + rest)
    pairs = sum(one.weight * other.weight for one, other in combinations(zones, 2))
    return best + weights.amplifier + weights.price * (amplifier.price or 0) + weights.shared_fate * pairs


def _choices(every: list[list[Option]], loads: list[float], mode: Mode) -> Iterator[list[Option]]:
    if not every:
        yield []
        return
    for option in every[0]:
        summed = [load + more for load, more in zip(loads, option[1], strict=True)]
        if max(summed) * mode.min_load_ohm <= 1 + 1e-9:
            yield from ([option, *rest] for rest in _choices(every[1:], summed, mode))


def best_by_count(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType], weights: Weights) -> dict[int, float]:
    """Least penalty for each possible number of amplifiers."""
    known: dict[tuple[int, ...], float] = {}
    found: dict[int, float] = {}
    for parts in partitions(range(len(zones))):
        total = 0.0
        for part in map(tuple, parts):
            if part not in known:
                some = [zones[n] for n in part]
                known[part] = min(group_penalty(some, a, mode, weights) for a in amplifiers for mode in a.modes)
            total += known[part]
        if total < found.get(len(parts), math.inf):
            found[len(parts)] = total
    return found


def recomputed_penalty(
    plan: FoldPlan, zones: Sequence[FoldZone], offered: Sequence[AmplifierType], w: Weights
) -> float:
    """Check a plan from its own strings, loads and errors, and add its penalty up anew."""
    by_name = {one.name: one for one in zones}
    assert sorted(fit.zone for fit in plan.zones) == sorted(by_name)
    total = 0.0
    for box in plan.amplifiers:
        amplifier = next(a for a in offered if a.name == box.amplifier)
        mode = next(mode for mode in amplifier.modes if mode.name == box.mode)
        total += w.amplifier + w.price * (amplifier.price or 0)
        total += w.shared_fate * sum(
            by_name[a.zone].weight * by_name[b.zone].weight for a, b in combinations(box.zones, 2)
        )
        assert mode.max_drive_db is None or box.level_db <= mode.max_drive_db + 1e-9
        for channel in box.channels:
            siemens = math.fsum(1 / string.impedance_ohm for string in channel.strings)
            assert (channel.load_ohm is None) == (siemens == 0)
            assert channel.load_ohm is None or math.isclose(channel.load_ohm, 1 / siemens)
            assert siemens <= (1 + 1e-8) / mode.min_load_ohm
            total += w.series * sum(len(string.coils) > 1 for string in channel.strings)
        for fit in box.zones:
            strings = [s for channel in box.channels for s in channel.strings if s.zone == fit.zone]
            assert sum(len(string.coils) for string in strings) == len(by_name[fit.zone].coils)
            assert {len(string.coils) for string in strings} == {fit.per_string}
            assert math.isclose(fit.error_db, box.level_db - need_db(by_name[fit.zone], fit.per_string), abs_tol=1e-9)
            assert abs(fit.error_db) <= fit.tolerance_db + RESOLUTION_DB + 1e-9
            total += w.level * by_name[fit.zone].weight * abs(fit.error_db) + w.rewiring * fit.changes
    return total
