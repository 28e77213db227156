"""What the page of a visit plan shows, fetched with a constant number of queries."""

from typing import Any, NamedTuple

from django.urls import reverse
from django.utils import timezone

from registry.visits.due import PlanDay, Standing, next_dates, plans_at, standing
from registry.visits.models import TaskKind, Visit, VisitPlan
from registry.visits.queries import moved_dates_visible_to, visits_visible_to
from registry.visits.recurrence import read_rule
from registry.visits.rule_choices import choices_of, rule_words
from registry.visits.task_list import TASKS
from registry.web.crumbs import Crumbs, client_crumbs, site_crumbs
from registry.web.sites.sentences import number_of
from sites.models import Site, User
from sites.queries import sites_visible_to

DATES, VISITS = 10, 50


class NextDate(NamedTuple):
    """A date to come, and the visit that was made of it."""

    day: PlanDay
    visit: Visit | None


class AtSite(NamedTuple):
    """A plan at one site: how it stands and its next dates."""

    site: Site
    standing: Standing
    dates: list[NextDate]


def plan_page(user: User, plan: VisitPlan) -> dict[str, Any]:
    """Return the context of a plan's page."""
    today = timezone.localdate()
    sites = sites_visible_to(user).filter(pk=plan.site_id) if plan.site_id else _of_client(user, plan)
    at_sites = []
    for at in plans_at([plan], sites):
        made = {visit.occurrence: visit for visit in at.visits}
        dates = [NextDate(day, made.get(day.occurrence)) for day in next_dates(at, today, DATES)]
        at_sites.append(AtSite(at.site, standing(at, today), dates))
    choices = choices_of(read_rule(plan.rule))
    return {
        "at_sites": at_sites,
        "words": rule_words(plan.rule),
        "warning": choices.skips(plan.starts_on) if choices else "",
        "moved": moved_dates_visible_to(user).filter(plan=plan),
        "visits": visits_visible_to(user).filter(plan=plan).order_by("-starts_at")[:VISITS],
        "tasks": [(task, TASKS[TaskKind(task.kind)]) for task in plan.tasks.all()],
        "sentence": _sentence(plan, [each.standing for each in at_sites]),
    }


def _of_client(user: User, plan: VisitPlan) -> Any:
    return sites_visible_to(user).filter(client=plan.client_id)


def _sentence(plan: VisitPlan, found: list[Standing]) -> str:
    words = rule_words(plan.rule)
    said = f"{words[0].upper()}{words[1:]}."
    if plan.ended_on is not None:
        return f"{said} Ended on {plan.ended_on:%d %b %Y}: it makes nothing due any more."
    days = [each for each in found if each.day is not None]
    if not days:
        return f"{said} No date is left."
    first = min(days, key=lambda each: str(each.day))
    overdue = sum(each.state == "overdue" for each in days)
    late = f", {number_of(overdue, 'site')} overdue" if overdue and len(found) > 1 else ""
    assert first.day is not None
    word = "Overdue since" if first.state == "overdue" else "Next on"
    return f"{said} {word} {first.day.day} {first.day:%b %Y}{late}."


def plan_crumbs(plan: VisitPlan) -> Crumbs:
    """Return the way down to a plan."""
    above = site_crumbs(plan.site) if plan.site else client_crumbs(plan.client) if plan.client else []
    return [*above, (plan.name, reverse("visit-plan", args=[plan.pk]))]
