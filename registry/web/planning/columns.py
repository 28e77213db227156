"""The list of a site's kept plans."""

from collections.abc import Sequence

from django.urls import reverse

from registry.planning.models import FoldPlan
from registry.planning.queries import accepted_plans
from registry.planning.standing import standings
from registry.web.lists import Column


def name_standings(plans: Sequence[FoldPlan]) -> None:
    """Give each plan of a page the word for how it stands. One query."""
    found = standings(plans, accepted_plans({plan.site_id for plan in plans}))
    for plan in plans:
        plan.standing = found[plan.pk]  # type: ignore[attr-defined]


def _amplifiers(plan: FoldPlan) -> int:
    return len(plan.content["plan"]["amplifiers"])


PLAN_COLUMNS = (
    Column(
        heading="Plan",
        value=lambda plan: f"{plan.number}: {plan.title}",
        sort=("number",),
        link=lambda plan: reverse("fold-plan", args=[plan.pk]),
    ),
    Column(heading="Stands", value=lambda plan: plan.standing.words),
    Column(heading="Amplifiers", value=_amplifiers, kind="number"),
    Column(heading="Zones", value=lambda plan: len(plan.content["zones"]), kind="number"),
    Column(
        heading="Reason",
        value=lambda plan: plan.standing.decision.reason if plan.standing.decision else "",
        blank="none",
    ),
    Column(
        heading="Kept", value=lambda plan: plan.saved_at.astimezone(plan.site.zone_info), sort=("saved_at",), kind="day"
    ),
    Column(heading="By", value=lambda plan: str(plan.author), sort=("author__username",)),
)
