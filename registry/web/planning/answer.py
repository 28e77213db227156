"""The answer to what is asked: ranked plans, or what to correct first."""

from typing import Any, NamedTuple

from registry.engineering.wording import counted
from registry.planning.computing import CantPlanError, Found, find_plans, fitted
from registry.planning.folding_input import FoldRequest
from registry.planning.kept import KeptPlan, kept_plan, zone_row
from registry.planning.zone_facts import loudspeakers_shown
from registry.web.planning.asking import Asked
from registry.web.planning.forms import KeepForm
from registry.web.planning.plan_shown import plan_shown

MANY_ZONES = 10  # from here on a search may take seconds


class Computed(NamedTuple):
    """A request and what was found for it; `refused` says why nothing was searched."""

    request: FoldRequest | None
    found: Found | None
    refused: str


def computed(asked: Asked) -> Computed:
    """Search the plans that are asked for."""
    if asked.errors:
        beside = "it" if asked.errors == 1 else "each"
        fields = counted(asked.errors, "field").lower()
        return Computed(None, None, f"Correct {fields} first: the remark stands beside {beside}.")
    request = asked.request()
    try:
        return Computed(request, find_plans(request, counts_channels=asked.around.counts_channels), "")
    except CantPlanError as error:
        return Computed(request, None, str(error))


def answer(asked: Asked) -> dict[str, Any]:
    """Return what the page and its recomputed part show."""
    request, found, refused = computed(asked)
    left_out = [*asked.bound, *(request.left_out if request else ())]
    if request is None or found is None:
        return {"says": refused, "plans": [], "left_out": left_out, "refused": True}
    plans = [_shown(plan_number, asked, request, found) for plan_number in range(len(found.plans))]
    return {
        "says": _says(found),
        "plans": plans,
        "left_out": [*asked.bound, *found.left_out],
        "refusals": found.refusals,
        "notes": found.notes,
        "currency": asked.currency,
        "refused": False,
    }


def _shown(at: int, asked: Asked, request: FoldRequest, found: Found) -> dict[str, Any]:
    plan = found.ranked[at]
    fit = fitted(
        plan,
        zones=request.zones,
        coils=[coil for zone in asked.facts for coil in zone.coils],
        models={offered.name: offered for offered in request.offered},
        around=asked.around,
        positions={zone.name: zone.default_position for zone in asked.facts},
    )
    shown = {zone.name: loudspeakers_shown(zone) for zone in asked.facts}
    ident = f"plan-{len(plan.amplifiers)}"
    first = {
        "inputs": asked.address,
        "amplifiers": len(plan.amplifiers),
        "title": _title(len(plan.amplifiers), request),
    }
    return plan_shown(
        fit, zones=request.zones, around=asked.around, minutes=request.minutes, loudspeakers=shown, ident=ident
    ) | {"keep": KeepForm(initial=first, auto_id=f"{ident}-%s"), "is_best": at == 0}


def _title(amplifiers: int, request: FoldRequest) -> str:
    zones = counted(len(request.zones), "zone").lower()
    return f"{counted(amplifiers, 'amplifier')} for {zones}"


def _says(found: Found) -> str:
    if not found.plans:
        return "No plan is possible: see below which limit forbids it."
    best = found.ranked[0]
    more = len(found.plans) - 1
    others = f" {counted(more, 'other plan')} below." if more else ""
    return f"{best.says}{others}"


def kept_for(asked: Asked, amplifiers: int) -> KeptPlan | None:
    """Return the plan with this number of amplifiers, with all that it was computed from; None where there is none."""
    request, found, _ = computed(asked)
    if request is None or found is None:
        return None
    plan = next((plan for plan in found.plans if len(plan.amplifiers) == amplifiers), None)
    if plan is None:
        return None
    wanted = {zone.name: zone.wanted_db for zone in request.zones}
    rows = [zone_row(zone, wanted_db=wanted.get(zone.name)) for zone in asked.facts]
    return kept_plan(plan, found, request, around=asked.around, rows=rows, currency=asked.currency)
