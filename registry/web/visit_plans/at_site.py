"""What comes next at one site, for its page: the next visit, and how its plans stand."""

from typing import Any

from django.utils import timezone

from registry.visits.due import plans_at, standing
from registry.visits.queries import calls_visible_to, hours_of, visit_plans_visible_to, visits_visible_to
from registry.visits.rule_choices import DAY_NAMES
from sites.models import Site, User


def visits_at_site(user: User, site: Site) -> dict[str, Any]:
    """Return the context of the section. A constant number of queries."""
    plans = visit_plans_visible_to(user).filter(ended_on__isnull=True)
    visits = visits_visible_to(user).filter(site=site)
    waiting = visits.filter(closed_at__isnull=True, called_off_because="").order_by("starts_at", "pk")
    today = timezone.localdate()
    return {
        "next_visit": waiting.first(),
        "visit_standings": [standing(at, today) for at in plans_at(plans, [site])],
        "open_calls": list(calls_visible_to(user).filter(site=site, closed_at__isnull=True).order_by("-called_at")),
        "hours": [(DAY_NAMES[row.weekday], row) for row in hours_of(site)],
    }
