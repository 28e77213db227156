"""What a person does with a fold plan: keep it, reject it, accept it, say that it is wired."""

import logging
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from registry.engineering.wording import listed
from registry.planning.design_tables import Tables, tables_of
from registry.planning.frozen import frozen
from registry.planning.kept import KeptPlan, ZoneRow, changed_since, content_of, fitted_into, kept_of
from registry.planning.models import Decided, FoldPlan, PlanDecision
from registry.planning.queries import accepted_plans
from registry.planning.standing import Standing, standing_of
from registry.planning.surroundings import Surroundings, surroundings
from sites.models import Site, User
from sites.put import refuse

logger = logging.getLogger(__name__)


@transaction.atomic
def keep_plan(*, by: User, site: Site, title: str, kept: KeptPlan, inputs: str) -> FoldPlan:
    """Keep a plan with everything that it was computed from; `inputs` is the address that computes it again."""
    if not title.strip():
        raise refuse("fold plan", (site.pk,), "title", "name the plan, so that it is found again")
    # The site's row is held, so that two people can't take the same number.
    Site.objects.select_for_update().get(pk=site.pk)
    last = FoldPlan.objects.filter(site=site).order_by("-number").values_list("number", flat=True).first()
    plan = FoldPlan.objects.create(
        site=site,
        number=(last or 0) + 1,
        title=title.strip()[:120],
        author=by,
        saved_at=timezone.now(),
        inputs=inputs,
        content=content_of(kept),
    )
    logger.info("fold plan %s of %s kept by %s", plan.number, site.code, by.pk)
    return plan


@transaction.atomic
def reject_plan(*, by: User, plan: FoldPlan, reason: str) -> PlanDecision:
    """Reject a plan; it stays, and so does the reason."""
    if not reason.strip():
        raise refuse("fold plan", (plan.pk,), "reason", "say why: in three years somebody will ask")
    standing = standing_now(plan)
    if standing.word == "wired":
        raise refuse("fold plan", (plan.pk,), "reason", "this plan is wired: the register says what hangs where")
    if standing.word == "rejected":
        raise refuse("fold plan", (plan.pk,), "reason", "this plan is rejected already")
    return _decide(plan, Decided.REJECTED, by=by, reason=reason)


@transaction.atomic
def accept_plan(*, by: User, plan: FoldPlan, agreed: str) -> PlanDecision:
    """Accept a plan and freeze its design; an acceptance before it is superseded. `agreed`: who agreed to its price.

    Refused when the wiring that it was computed from has changed, or may not be touched any more.
    """
    if standing_now(plan).word in ("accepted", "wired"):
        raise refuse("fold plan", (plan.pk,), "agreed", "this plan is accepted already")
    Site.objects.select_for_update().get(pk=plan.site_id)
    around = surroundings(plan.site)
    refuse_if_changed(plan, around)
    return _decide(plan, Decided.ACCEPTED, by=by, reason=agreed, design=design_of(plan, around))


def refuse_if_changed(plan: FoldPlan, around: Surroundings) -> None:
    """Refuse when the site is not wired as the plan was computed from."""
    changed = changed_since(kept_of(plan), around)
    if changed:
        names = listed(list(dict.fromkeys(changed))[:12])
        says = f"the register has changed since plan {plan.number} was computed ({names}): compute it again"
        raise refuse("fold plan", (plan.pk,), "plan", says)


def design_of(plan: FoldPlan, around: Surroundings) -> dict[str, Any]:
    """Return the design of a plan as JSON: its tables in the columns of a survey, and what they were made of."""
    kept = kept_of(plan)
    design = fitted_into(kept, around, tags=f"P{plan.number}").design
    tables: Tables = tables_of(design, site=plan.site.code, zones={row.name: _zone_row(row) for row in kept.rows})
    return {"tables": tables, "design": frozen(design)}


def _zone_row(row: ZoneRow) -> dict[str, Any]:
    known = {"space": row.space, "spot": row.spot}
    numbers = {"default_position": row.default_position, "tolerance_db": row.tolerance_db}
    return {name: value for name, value in (known | numbers).items() if value not in ("", None)}


@transaction.atomic
def record_wired(*, by: User, plan: FoldPlan, at: datetime) -> PlanDecision:
    """Record that a plan's design was put into the register. The tables themselves are written by the exchange."""
    refuse_unless_accepted(plan)
    return _decide(plan, Decided.WIRED, by=by, at=at)


def refuse_unless_accepted(plan: FoldPlan) -> PlanDecision:
    """Return the acceptance of a plan that is accepted and not wired yet; refuse any other plan."""
    standing = standing_now(plan)
    accepted = accepted_plans([plan.site_id]).get(plan.site_id)
    if standing.word != "accepted" or accepted is None:
        raise refuse(
            "fold plan", (plan.pk,), "plan", f"plan {plan.number} is {standing.word}: only an accepted one is wired"
        )
    return accepted


def standing_now(plan: FoldPlan) -> Standing:
    """Return how a plan stands at this moment."""
    fresh = FoldPlan.objects.prefetch_related("decisions").get(pk=plan.pk)
    return standing_of(fresh, accepted_plans([plan.site_id]).get(plan.site_id))


def _decide(
    plan: FoldPlan,
    decided: Decided,
    *,
    by: User,
    reason: str = "",
    at: datetime | None = None,
    design: dict[str, Any] | None = None,
) -> PlanDecision:
    decision = PlanDecision.objects.create(
        plan=plan, decided=decided, decided_at=at or timezone.now(), decided_by=by, reason=reason.strip(), design=design
    )
    logger.info("fold plan %s of %s %s by %s", plan.number, plan.site.code, decided.value, by.pk)
    return decision
