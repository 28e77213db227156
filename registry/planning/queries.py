"""Reads of fold plans, and the readings that tell how loud a zone is at a known drive."""

from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db.models import Exists, FilteredRelation, OuterRef, Prefetch, Q, QuerySet, Subquery

from registry.audio.models import Zone
from registry.baselines.models import Reading
from registry.planning.models import Decided, FoldPlan, PlanDecision
from sites.models import User
from sites.queries import at_sites_of


def fold_plans_visible_to(user: User | AnonymousUser) -> QuerySet[FoldPlan]:
    """Return the fold plans that `user` may read, each with its decisions."""
    decided = PlanDecision.objects.select_related("decided_by").defer("design")
    return (
        FoldPlan.objects.filter(at_sites_of(user))
        .select_related("site__client", "author")
        .prefetch_related(Prefetch("decisions", decided))
    )


def accepted_plans(site_ids: Iterable[int]) -> dict[int, PlanDecision]:
    """Return the acceptance that holds for each site, by the site's id. One query.

    It is the last one, unless its plan was rejected since. A plan that is wired stays the accepted one; `is_wired` of
    the decision says so.
    """
    found = _acceptances().filter(plan__site_id__in=list(site_ids))
    found = found.select_related("plan__site", "plan__author", "decided_by")
    return {decision.plan.site_id: decision for decision in found}


def _acceptances() -> QuerySet[Any]:
    rejected = PlanDecision.objects.filter(plan=OuterRef("plan"), decided=Decided.REJECTED, pk__gt=OuterRef("pk"))
    wired = PlanDecision.objects.filter(plan=OuterRef("plan"), decided=Decided.WIRED)
    last = PlanDecision.objects.filter(plan__site=OuterRef("plan__site"), decided=Decided.ACCEPTED).order_by("-pk")
    found = PlanDecision.objects.filter(pk=Subquery(last.values("pk")[:1]))
    held: QuerySet[Any] = found.annotate(is_rejected=Exists(rejected), is_wired=Exists(wired))
    return held.filter(is_rejected=False)


def with_plan_to_wire(sites: QuerySet[Any]) -> QuerySet[Any]:
    """Join to sites the plan that is accepted and not wired yet as `plan_to_wire`, which a site without one lacks.

    `plan_accepted_at` says since when.
    """
    waiting = _acceptances().filter(plan__site=OuterRef("pk"), is_wired=False)
    relation = FilteredRelation("fold_plans", condition=Q(fold_plans__pk=Subquery(waiting.values("plan")[:1])))
    since = Subquery(waiting.values("decided_at")[:1])
    joined: QuerySet[Any] = sites.annotate(plan_to_wire=relation, plan_accepted_at=since)
    return joined.select_related("plan_to_wire").defer("plan_to_wire__content")


def acceptance_of(plan: FoldPlan) -> PlanDecision | None:
    """Return the last acceptance of a plan, with its design; None for one that was never accepted."""
    return plan.decisions.filter(decided=Decided.ACCEPTED).select_related("decided_by").order_by("-pk").first()


def driven_readings(zones: Iterable[Zone]) -> dict[int, Reading]:
    """Return the newest reading of every zone that says the volts at the terminals, by the zone's id. One query."""
    newest = (
        Reading.objects.filter(zone=OuterRef("pk"), correction__isnull=True, drive_v__isnull=False)
        .order_by("-taken_at", "-state", "-pk")
        .values("pk")[:1]
    )
    ids = Zone.objects.filter(pk__in=[zone.pk for zone in zones]).annotate(newest=Subquery(newest)).values("newest")
    return {reading.zone_id: reading for reading in Reading.objects.filter(pk__in=ids)}
