"""The next ten dates of a plan that is still a form."""

from datetime import date
from typing import NamedTuple

from registry.visits.due import PlanAt, PlanDay, next_dates
from registry.visits.models import VisitPlan
from registry.visits.open_days import days_of
from registry.visits.rule_choices import choices_of, rule_words
from registry.web.visit_plans.plan_form import PlanForm
from sites.models import Site

SHOWN = 10


class Preview(NamedTuple):
    """What a plan would do: in words, its next dates at one site, and what to beware of."""

    words: str
    days: list[PlanDay]
    site: Site
    warning: str


def preview_of(form: PlanForm, site: Site | None, today: date) -> Preview | None:
    """Return the preview of a valid form; None while it is not valid, or where there is no site to show dates of."""
    if site is None or not form.is_valid() or form.rule is None:
        return None
    plan = VisitPlan(**{**form.values(), "starts_on": form.first})
    at = PlanAt(plan, site, form.rule, {}, [], days_of([site.pk]).open[site.pk])
    choices = choices_of(form.rule)
    warning = choices.skips(form.first) if choices else ""
    return Preview(rule_words(form.rule.text), next_dates(at, max(today, form.first), SHOWN), site, warning)
