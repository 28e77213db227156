"""Fold plans for a request: searched, fitted into the site, priced in boxes and hours, with what forbids one fewer."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from registry.engineering.folding import FoldPlan, FoldResult, FoldZone, Refusal, fold
from registry.engineering.folding_stock import plans_within_stock, within_stock
from registry.engineering.folding_work import work_of as search_of
from registry.engineering.line import LineLoad, faults
from registry.engineering.wording import counted, listed
from registry.planning.candidates import Offered
from registry.planning.design import Design, designed
from registry.planning.design_loads import load_of
from registry.planning.folding_input import FoldRequest, LeftOut
from registry.planning.surroundings import Surroundings
from registry.planning.wired import WiredCoil
from registry.planning.work import Work, work_of

MOST_ZONES = 14  # of one class; each one more doubles the search
# Some ten seconds and a few hundred megabytes: loudspeakers of many unlike impedances go far beyond.
MOST_GROUPS, MOST_WAYS = 1e7, 2e6
LETTERS = "ABCD"


class CantPlanError(ValueError):
    """Raised when there is nothing to search, or too much; says what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a search found: the best plan for each number of amplifiers, what was left out and why one fewer fails."""

    plans: tuple[FoldPlan, ...]
    left_out: tuple[LeftOut, ...]
    refusals: tuple[Refusal, ...]
    notes: tuple[str, ...]

    @property
    def ranked(self) -> tuple[FoldPlan, ...]:
        """The plans, the one with the least penalty first."""
        return tuple(sorted(self.plans, key=lambda plan: plan.penalty))


def find_plans(request: FoldRequest, *, counts_channels: bool) -> Found:
    """Search the plans of a request; channels are numbered or lettered as they are at the site.

    Raises CantPlanError where no zone or no amplifier is left, or a class of zones is too large.
    """
    _refuse_unsearchable(request)
    result = fold(request.zones, request.amplifiers, weights=request.weights)
    plans, refusals = _within_stock(request, result)
    if counts_channels:
        plans = tuple(map(_numbered, plans))
    out = tuple(LeftOut(excluded.zone, excluded.says) for excluded in result.excluded)
    return Found(plans=plans, left_out=(*request.left_out, *out), refusals=refusals, notes=result.notes)


def _refuse_unsearchable(request: FoldRequest) -> None:
    if not request.zones:
        raise CantPlanError("No zone can be planned: choose one whose wanted level and drive are known.")
    if not request.amplifiers:
        raise CantPlanError("Choose at least one amplifier that may be used.")
    largest = max(map(len, classes_of(request.zones)))
    if largest > MOST_ZONES:
        raise CantPlanError(
            f"{largest} zones share source, hours, controller and line kind; at most {MOST_ZONES} are searched at "
            "once: choose fewer, or part them by hours or controller."
        )
    for zones in classes_of(request.zones):
        _refuse_endless(zones, request)


def _refuse_endless(zones: list[FoldZone], request: FoldRequest) -> None:
    modes = [mode for amplifier in request.amplifiers for mode in amplifier.modes if mode.kind == zones[0].kind]
    known = [zone for zone in zones if all(coil.impedance_ohm for coil in zone.coils)]
    if not all(search_of(known, mode).within(groups=MOST_GROUPS, ways=MOST_WAYS) for mode in modes):
        raise CantPlanError(
            f"{listed([zone.name for zone in zones])} can be wired and grouped in too many ways to search them all: "
            "choose fewer zones, allow fewer in series, or part them by hours or controller."
        )


def classes_of(zones: Iterable[FoldZone]) -> list[list[FoldZone]]:
    """Return the zones that may share an amplifier together: one source, hours, controller and line kind."""
    classes: dict[tuple[str, ...], list[FoldZone]] = {}
    for zone in zones:
        classes.setdefault((zone.kind, zone.source, zone.hours, zone.controller), []).append(zone)
    return list(classes.values())


def _within_stock(request: FoldRequest, result: FoldResult) -> tuple[tuple[FoldPlan, ...], tuple[Refusal, ...]]:
    """Plans that take no more of any model than there are; where that costs amplifiers, that is a reason too."""
    if all(within_stock(plan, request.at_most) for plan in result.plans):
        return result.plans, result.refusals
    try:
        plans = plans_within_stock(
            classes_of(request.zones), request.amplifiers, at_most=request.at_most, weights=request.weights
        )
    except ValueError as error:
        raise CantPlanError(f"{error}.") from error
    fewest = len(result.plans[0].amplifiers)
    if plans and len(plans[0].amplifiers) == fewest:
        return plans, result.refusals
    return plans, (*result.refusals, _stock_refusal(request, fewest))


def _stock_refusal(request: FoldRequest, fewest: int) -> Refusal:
    short = ", ".join(f"{count} of {name}" for name, count in request.at_most.items())
    says = f"{counted(fewest, 'amplifier')} would do if there were more than {short}."
    return Refusal("stock", tuple(zone.name for zone in request.zones), fewest, enough=True, says=says)


def _numbered(plan: FoldPlan) -> FoldPlan:
    """The same plan with channels 1, 2 … instead of A, B …"""
    return replace(
        plan,
        amplifiers=tuple(
            replace(
                amplifier,
                channels=tuple(
                    replace(channel, channel=str(LETTERS.index(channel.channel) + 1)) for channel in amplifier.channels
                ),
            )
            for amplifier in plan.amplifiers
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A plan fitted into its site: the design, every line's load with its cables, work, and what is to be bought."""

    plan: FoldPlan
    design: Design
    loads: tuple[LineLoad, ...]
    work: Work
    bought: Mapping[str, int]
    price: float | None

    @property
    def faults(self) -> tuple[str, ...]:
        """What each single fault does: an open coil in a string, a shorted one, an amplifier that fails."""
        return (*self.plan.single_faults, *self._shorts(), *self._failures())

    def _shorts(self) -> Iterable[str]:
        """Whether a channel carries on when one of its loudspeakers is shorted."""
        for line, load in zip(self.design.lines, self.loads, strict=True):
            shorts = [fault for fault in faults(load) if fault.kind == "coil shorted"]
            fatal = [fault.label for fault in shorts if fault.survives is False]
            where = f"{line.place} channel {line.channel}"
            if len(fatal) == len(shorts):
                yield f"{where}: a short in any of its loudspeakers silences all of it."
            elif fatal:
                yield f"{where}: a short in {listed(list(dict.fromkeys(fatal)))} silences all of it."
            elif all(fault.survives for fault in shorts):
                yield f"{where}: it carries on with any one loudspeaker shorted."

    def _failures(self) -> Iterable[str]:
        for box in self.design.boxes:
            silent = "falls silent" if len(box.zones) == 1 else "fall silent together"
            yield f"{box.seat.place} fails: {listed(box.zones)} {silent}."


def fitted(
    plan: FoldPlan,
    *,
    zones: Iterable[FoldZone],
    coils: Iterable[WiredCoil],
    models: Mapping[str, Offered],
    around: Surroundings,
    positions: Mapping[str, float | None],
    tags: str = "P",
) -> Fitted:
    """Fit a plan into a site as it stands now."""
    design = designed(plan, zones=zones, coils=coils, models=models, around=around, positions=positions, tags=tags)
    return with_design(plan, design, models=models)


def with_design(plan: FoldPlan, design: Design, *, models: Mapping[str, Offered]) -> Fitted:
    """Put a plan and its design together: loads with cables, work, and what is to be bought."""
    channels = {box.seat.place: models[f"{box.make} {box.model}"].channel for box in design.boxes}
    bought = Counter(f"{box.make} {box.model}" for box in design.boxes if box.seat.is_new)
    prices = [models[name].price for name, count in bought.items() for _ in range(count)]
    priced = [price for price in prices if price is not None]
    return Fitted(
        plan=plan,
        design=design,
        loads=tuple(load_of(line, channels[line.place]) for line in design.lines),
        work=work_of(design),
        bought=bought,
        price=sum(priced) if len(priced) == len(prices) else None,
    )
