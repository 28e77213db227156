"""How all running plans stand today, worked out once for each state of what that depends on.

A date follows from a rule, so no database can say which plans are due; to work thousands of rules out for every view of
the first page takes most of a second. Everything that a date depends on keeps a history, which only grows: as long as
none of them has grown, what was worked out still holds.
"""

import time
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from typing import Any, Final, NamedTuple

from django.db.models import Exists, QuerySet, Subquery

from registry.visits.due import PlanAt, PlanDay, Standing, dates_between, plans_at_all_sites, standing
from registry.visits.models import Holiday, MovedDate, SiteHours, Visit, VisitPlan
from registry.visits.queries import visit_plans_visible_to
from sites.models import Client, Site, User

DEPENDS_ON: Final[tuple[Any, ...]] = (VisitPlan, MovedDate, Visit, Holiday, SiteHours, Site, Client)
# Fewer are worked out anew each time: that takes some milliseconds and no memory.
MANY_PLANS: Final = 200
# People have no history, and a name that was corrected must not stay wrong for long.
AT_MOST_SECONDS: Final = 300
Mark = tuple[int | None, ...]


class PlanStanding(NamedTuple):
    """A plan at a site, and how it stands."""

    at: PlanAt
    standing: Standing


def standings_seen_by(user: User, today: date) -> Sequence[PlanStanding]:
    """Return the running plans that `user` may read, at the sites that they may read. Four queries, or one."""
    mark = _mark() if user.sees_every_client else None
    return _worked_out(visit_plans_visible_to(user), today) if mark is None else _all(today, mark)


def dates_of(
    found: Sequence[PlanStanding], today: date, begin: date, end: date
) -> dict[tuple[int, int], list[PlanDay]]:
    """Return the dates of these plans in a stretch of time that no visit was made of, by plan and site."""
    mark = _mark() if len(found) > MANY_PLANS else None
    return _dates(found, begin, end) if mark is None else _dates_of_all(today, mark, begin, end)


def _worked_out(plans: QuerySet[VisitPlan], today: date) -> list[PlanStanding]:
    return [PlanStanding(at, standing(at, today)) for at in plans_at_all_sites(plans.filter(ended_on__isnull=True))]


def _dates(found: Sequence[PlanStanding], begin: date, end: date) -> dict[tuple[int, int], list[PlanDay]]:
    return {(at.plan.pk, at.site.pk): dates_between(at, begin, end) for at, _ in found}


def _mark() -> Mark | None:
    """Return how far every history has grown; None while the running plans are few. One query."""
    newest = [Subquery(table.history.order_by("-history_id").values("history_id")[:1]) for table in DEPENDS_ON]
    named = {f"newest_{number}": each for number, each in enumerate(newest)}
    running = VisitPlan.objects.filter(ended_on__isnull=True).order_by()
    many = User.objects.filter(Exists(running[MANY_PLANS:]))
    found = many.order_by("pk").annotate(**named).values_list(*named).first()
    return None if found is None else (*found, int(time.time() // AT_MOST_SECONDS))


@lru_cache(maxsize=1)
def _all(today: date, mark: Mark) -> list[PlanStanding]:
    return _worked_out(VisitPlan.objects.all(), today)


@lru_cache(maxsize=3)
def _dates_of_all(today: date, mark: Mark, begin: date, end: date) -> dict[tuple[int, int], list[PlanDay]]:
    return _dates(_all(today, mark), begin, end)
