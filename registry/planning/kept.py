"""A plan that is kept: everything that it was computed from, and the plan itself, as one plain value."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from registry.engineering.folding import FoldPlan, FoldZone, Refusal
from registry.planning import models
from registry.planning.candidates import Offered
from registry.planning.computing import Fitted, Found, fitted, with_design
from registry.planning.design import Design
from registry.planning.folding_input import FoldRequest, LeftOut
from registry.planning.frozen import frozen, thawed
from registry.planning.surroundings import Surroundings
from registry.planning.wired import WiredCoil
from registry.planning.zone_facts import ZoneFacts, loudspeakers_shown


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneRow:
    """What the register says of a zone: what a design's table repeats, and where its figures came from."""

    name: str
    space: str
    spot: str
    default_position: float | None
    tolerance_db: float | None
    wanted_from: str
    level_from: str
    loudspeakers: str


def zone_row(facts: ZoneFacts, *, wanted_db: float | None) -> ZoneRow:
    """Return what a kept plan remembers of a zone; a wanted level that the register doesn't know was typed."""
    return ZoneRow(
        name=facts.name,
        space=facts.room,
        spot=facts.spot,
        default_position=facts.default_position,
        tolerance_db=facts.tolerance_db,
        wanted_from=facts.wanted.says if wanted_db == facts.wanted.value else "what was typed",
        level_from=facts.at_283.says,
        loudspeakers=loudspeakers_shown(facts),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPlan:
    """One plan and its inputs, which stay as they are whatever changes in the register."""

    zones: tuple[FoldZone, ...]
    rows: tuple[ZoneRow, ...]
    around: Surroundings
    offered: tuple[Offered, ...]
    at_most: Mapping[str, int]
    minutes: float
    currency: str
    plan: FoldPlan
    left_out: tuple[LeftOut, ...]
    refusals: tuple[Refusal, ...]
    notes: tuple[str, ...]

    @property
    def coils(self) -> tuple[WiredCoil, ...]:
        """The coils of the planned zones, as they were wired."""
        planned = {zone.name for zone in self.zones}
        return tuple(coil for coil in self.around.coils if coil.zone in planned)

    @property
    def models(self) -> dict[str, Offered]:
        """The amplifiers that were offered, by name."""
        return {offered.name: offered for offered in self.offered}

    @property
    def positions(self) -> dict[str, float | None]:
        """Every zone's default position."""
        return {row.name: row.default_position for row in self.rows}


def kept_plan(
    plan: FoldPlan,
    found: Found,
    request: FoldRequest,
    *,
    around: Surroundings,
    rows: Sequence[ZoneRow],
    currency: str,
) -> KeptPlan:
    """Put a plan together with all that it was computed from."""
    planned = {zone.name for zone in request.zones}
    return KeptPlan(
        zones=request.zones,
        rows=tuple(row for row in rows if row.name in planned),
        around=around,
        offered=request.offered,
        at_most=request.at_most,
        minutes=request.minutes,
        currency=currency,
        plan=plan,
        left_out=found.left_out,
        refusals=found.refusals,
        notes=found.notes,
    )


def fitted_into(kept: KeptPlan, around: Surroundings, *, tags: str = "P") -> Fitted:
    """Fit a kept plan into its site, as it stands now or as it stood when it was kept."""
    return fitted(
        kept.plan,
        zones=kept.zones,
        coils=kept.coils,
        models=kept.models,
        around=around,
        positions=kept.positions,
        tags=tags,
    )


def content_of(kept: KeptPlan) -> dict[str, Any]:
    """Return a kept plan as JSON."""
    content: dict[str, Any] = frozen(kept)
    return content


def kept_of(plan: "models.FoldPlan") -> KeptPlan:
    """Return what a row of the register holds."""
    return thawed(KeptPlan, plan.content)


def changed_since(kept: KeptPlan, around: Surroundings) -> list[str]:
    """Return the loudspeakers whose wiring, or life-safety answer, is not what the plan was computed from."""
    now = {coil.key: coil for coil in around.coils}
    changed = [coil.name for coil in kept.coils if now.get(coil.key) != coil]
    return changed + _newcomers(kept, around.coils)


def _newcomers(kept: KeptPlan, coils: Iterable[WiredCoil]) -> list[str]:
    known, zones = {coil.key for coil in kept.coils}, {zone.name for zone in kept.zones}
    return [coil.name for coil in coils if coil.zone in zones and coil.key not in known]


def fitted_as(kept: KeptPlan, acceptance: "models.PlanDecision | None") -> Fitted:
    """Return a kept plan with the design that was accepted, or else with that of the day on which it was kept."""
    if acceptance is None or acceptance.design is None:
        return fitted_into(kept, kept.around)
    return with_design(kept.plan, thawed(Design, acceptance.design["design"]), models=kept.models)
