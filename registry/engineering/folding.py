"""Fold plans: many zones on few amplifiers, the best plan for each number of amplifiers, and why fewer will not do."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from registry.engineering.folding_drive import (
    channel_drive_limit_db,
    constant_voltage_min_load_ohm,
    drive_of_volts_db,
    level_at_283_from_data,
    level_at_283_from_reading,
)
from registry.engineering.folding_explain import Refusal, why_impossible, why_not_fewer, why_not_shared
from registry.engineering.folding_groups import GroupTable, priced_groups
from registry.engineering.folding_options import series_shift_db
from registry.engineering.folding_parts import AmplifierType, FoldCoil, FoldZone, LifeSafety, Mode, Weights, Wiring
from registry.engineering.folding_plan import (
    ChannelFit,
    FoldedAmplifier,
    FoldPlan,
    FoldString,
    ZoneFit,
    folded_amplifier,
)
from registry.engineering.folding_search import Partitions, combined

__all__ = [
    "AmplifierType",
    "ChannelFit",
    "Excluded",
    "FoldCoil",
    "FoldPlan",
    "FoldResult",
    "FoldString",
    "FoldZone",
    "FoldedAmplifier",
    "LifeSafety",
    "Mode",
    "Refusal",
    "Weights",
    "Wiring",
    "ZoneFit",
    "channel_drive_limit_db",
    "constant_voltage_min_load_ohm",
    "drive_of_volts_db",
    "fold",
    "level_at_283_from_data",
    "level_at_283_from_reading",
    "series_shift_db",
]

MOST_ZONES: Final = 16  # zones of one class: each one more doubles the search
CAUTION: Final = (
    "Amplifier off before touching terminals; measure each line before connecting it. Leave fire, voice-alarm and "
    "emergency paging lines alone. Local codes, makers' instructions and licensed persons decide."
)


@dataclass(frozen=True, slots=True)
class Excluded:
    """A zone that no plan touches, and why."""

    zone: str
    says: str


@dataclass(frozen=True, slots=True)
class FoldResult:
    """The best plan for each possible number of amplifiers, fewest first; what was left out; what forbids fewer."""

    plans: tuple[FoldPlan, ...]
    excluded: tuple[Excluded, ...]
    refusals: tuple[Refusal, ...]
    notes: tuple[str, ...]
    caution: str = CAUTION

    @property
    def best(self) -> FoldPlan | None:
        """The plan with the least penalty; None where no plan is possible."""
        return min(self.plans, key=lambda plan: plan.penalty, default=None)


def fold(
    zones: Sequence[FoldZone],
    amplifiers: Sequence[AmplifierType],
    *,
    weights: Weights | None = None,
    explain: bool = True,
) -> FoldResult:
    """Put zones on as few amplifiers as loads, levels, sources and hours allow: exact, all plans are searched.

    Penalty of a plan = amplifiers, prices, Σ weight·|level got − wanted|, changes of wiring, series strings and pairs
    of zones that share an amplifier, each times its weight. Every amplifier has one level, free to choose, for all its
    channels: the one with the least Σ weight·|error| within all tolerances and drive limits; of equal ones the middle.
    A tolerance counts as kept within 0.05 dB.

    Parameters:
        zones: at least one, names and loudspeakers unique; at most 16 of one source, hours, controller and line kind. A
            zone that may serve life safety (yes or unknown) or lacks a figure is left out and named in `excluded`.
        amplifiers: at least one, names unique; each may be used as often as needed. Prices count when all are known.
        weights: penalty points; None takes the usual ones.
        explain: whether to search for the limits that forbid one amplifier fewer; it takes longer than the plans.
    Returns:
        Plans, fewest amplifiers first; none where a zone cannot be served, and then `refusals` says why.
    Raises:
        ValueError: no zone or amplifier, a name or loudspeaker used twice, too many zones in one class.
    Source: derived; dynamic programming over subsets of zones. Constraints and order of preferences: common practice.

    >>> bar, hall = (FoldZone(name=name, coils=(FoldCoil(name, 8.0),), wanted_db=wanted, level_at_283_db=80,
    ...              life_safety="no") for name, wanted in (("Bar", 60), ("Hall", 62)))
    >>> result = fold([bar, hall], [AmplifierType("Two channels", (Mode("mono", 2, 4.0),))])
    >>> [len(plan.amplifiers) for plan in result.plans], result.best.says
    ([1, 2], 'One amplifier for two zones; furthest off is Bar with +1.0 dB; no zones in series strings.')
    """
    _refuse_unusable(zones, amplifiers)
    reasons = [(zone, _reason_to_exclude(zone)) for zone in zones]
    excluded = tuple(Excluded(zone.name, reason) for zone, reason in reasons if reason)
    classes = _classes([zone for zone, reason in reasons if not reason])
    notes = _notes(amplifiers)
    tables = [priced_groups(group, amplifiers, weights=weights or Weights()) for group in classes]
    parts = [Partitions(table.penalty) for table in tables]
    if not classes or any(part.fewest() is None for part in parts):
        impossible = tuple(found for group in classes for zone in group if (found := why_impossible(zone, amplifiers)))
        return FoldResult((), excluded, impossible, notes)
    refusals = _refusals(classes, amplifiers, parts=parts) if explain else ()
    return FoldResult(_plans(tables, parts), excluded, refusals, notes)


def _refuse_unusable(zones: Sequence[FoldZone], amplifiers: Sequence[AmplifierType]) -> None:
    if not zones or not amplifiers:
        raise ValueError(f"a fold plan needs a zone and an amplifier, got {len(zones)} and {len(amplifiers)}")
    loudspeakers = [label for zone in zones for label in {coil.loudspeaker for coil in zone.coils}]
    for what, names in (
        ("zone", [zone.name for zone in zones]),
        ("amplifier", [amplifier.name for amplifier in amplifiers]),
        ("loudspeaker (both its coils belong in one zone)", loudspeakers),
    ):
        twice = [name for name, times in Counter(names).items() if times > 1]
        if twice:
            raise ValueError(f"{what} {twice[0]!r} is given twice; each must be given once")
    largest = max(len(group) for group in _classes(zones))
    if largest > MOST_ZONES:
        raise ValueError(
            f"{largest} zones share source, hours, controller and line kind; at most {MOST_ZONES}: part them"
        )


def _reason_to_exclude(zone: FoldZone) -> str:
    if zone.life_safety != "no":
        known = "is" if zone.life_safety == "yes" else "may be (not known)"
        return f"{known} life-safety related: no change is offered"
    missing = [coil.loudspeaker for coil in zone.coils if coil.impedance_ohm is None]
    if missing:
        return f"impedance not known: {', '.join(missing)}"
    unknown = [
        text
        for text, value in (("wanted level", zone.wanted_db), ("level at 2.83 V", zone.level_at_283_db))
        if value is None
    ]
    return f"not known: {' and '.join(unknown)}" if unknown else ""


def _classes(zones: Sequence[FoldZone]) -> list[list[FoldZone]]:
    classes: dict[tuple[str, ...], list[FoldZone]] = {}
    for zone in zones:
        classes.setdefault((zone.kind, zone.source, zone.hours, zone.controller), []).append(zone)
    return list(classes.values())


def _notes(amplifiers: Sequence[AmplifierType]) -> tuple[str, ...]:
    unpriced = [amplifier.name for amplifier in amplifiers if amplifier.price is None]
    undriven = [a.name for a in amplifiers if any(mode.max_drive_db is None for mode in a.modes)]
    texts = (
        (unpriced, "price not known, so prices do not count"),
        (undriven, "highest drive not known, so it is not checked"),
    )
    return tuple(f"{', '.join(names)}: {text}." for names, text in texts if names)


def _refusals(
    classes: list[list[FoldZone]], amplifiers: Sequence[AmplifierType], *, parts: list[Partitions]
) -> tuple[Refusal, ...]:
    found: list[Refusal] = []
    fewest = [part.fewest() or 0 for part in parts]
    for zones, count in zip(classes, fewest, strict=True):
        if count > 1:
            found += why_not_fewer(zones, amplifiers, count=count - 1)
    for kind in dict.fromkeys(zones[0].kind for zones in classes):
        alike = [(zones, count) for zones, count in zip(classes, fewest, strict=True) if zones[0].kind == kind]
        together = [zone for zones, _ in alike for zone in zones]
        if len(alike) > 1 and len(together) <= MOST_ZONES:
            found += why_not_shared(together, amplifiers, apart=sum(count for _, count in alike))
    return tuple(found)


def _plans(tables: list[GroupTable], parts: list[Partitions]) -> tuple[FoldPlan, ...]:
    totals, shares = combined([part.total for part in parts])
    return tuple(
        _plan(tables, parts, share=share, total=total)
        for total, share in zip(totals, shares, strict=True)
        if share and math.isfinite(total)
    )


def _plan(tables: list[GroupTable], parts: list[Partitions], *, share: list[int], total: float) -> FoldPlan:
    groups = [
        table.group(mask)
        for table, part, count in zip(tables, parts, share, strict=True)
        for mask in sorted(part.groups(count), key=lambda mask: mask & -mask)
    ]
    prices = [group.amplifier.price for group in groups]
    known = [price for price in prices if price is not None]
    return FoldPlan(
        amplifiers=tuple(folded_amplifier(number, group) for number, group in enumerate(groups, start=1)),
        penalty=total,
        price=sum(known) if len(known) == len(prices) else None,
    )
