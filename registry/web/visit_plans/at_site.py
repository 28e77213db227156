"""What comes next at one site and what was last, for its page: visits, and how its plans stand."""

from typing import Any

from django.db.models import Q
from django.utils import timezone

from registry.visits.due import plans_at, standing
from registry.visits.open_days import days_of
from registry.visits.queries import calls_visible_to, visit_plans_visible_to, visits_visible_to
from registry.visits.rule_choices import DAY_NAMES
from registry.web.visits.beside import FEW
from sites.models import Site, User


def visits_at_site(user: User, site: Site) -> dict[str, Any]:
    """Return the context of the section. Four queries."""
    visits = list(visits_visible_to(user).filter(site=site).select_related(None).select_related("tech"))
    its = Q(site=site) | Q(client=site.client_id)
    plans = visit_plans_visible_to(user).filter(its, ended_on__isnull=True)
    at_plans, today = plans_at(plans, [site], visits), timezone.localdate()
    open_days = at_plans[0].open_days if at_plans else days_of([site.pk]).open[site.pk]
    waiting = [(visit.starts_at, visit.pk, visit) for visit in visits if visit.is_open]
    begun = [(visit.begun_at, visit.pk, visit) for visit in visits if visit.begun_at]
    return {
        "next_visit": min(waiting)[-1] if waiting else None,
        "last_visits": [visit for _, _, visit in sorted(begun, reverse=True)[:FEW]],
        "visit_standings": [standing(at, today) for at in at_plans],
        "open_calls": list(calls_visible_to(user).filter(site=site, closed_at__isnull=True).order_by("-called_at")),
        "hours": [(DAY_NAMES[weekday], *times) for weekday, times in sorted(open_days.hours.items())],
    }
