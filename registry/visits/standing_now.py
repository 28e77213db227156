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

from django.db.models import QuerySet, Subquery

from registry.visits.due import PlanAt, PlanDay, Standing, dates_between, plans_at, standing
from registry.visits.models import Holiday, MovedDate, SiteHours, Visit, VisitPlan
from registry.visits.queries import visit_plans_visible_to
from sites.models import Client, Site, User
from sites.queries import sites_visible_to

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
    """Return the running plans that `user` may read, at the sites that they may read. Seven queries, or two."""
    plans = visit_plans_visible_to(user).filter(ended_on__isnull=True)
    if _is_many(user, plans):
        return _all(today, _mark())
    return _worked_out(plans, sites_visible_to(user), today)


def dates_of(
    found: Sequence[PlanStanding], today: date, begin: date, end: date
) -> dict[tuple[int, int], list[PlanDay]]:
    """Return the dates of these plans in a stretch of time that no visit was made of, by plan and site."""
    if len(found) > MANY_PLANS:
        return _dates_of_all(today, _mark(), begin, end)
    return _dates(found, begin, end)


def _is_many(user: User, plans: QuerySet[VisitPlan]) -> bool:
    return user.sees_every_client and plans.values("pk")[: MANY_PLANS + 1].count() > MANY_PLANS


def _worked_out(plans: QuerySet[VisitPlan], sites: QuerySet[Site], today: date) -> list[PlanStanding]:
    return [PlanStanding(at, standing(at, today)) for at in plans_at(plans, sites)]


def _dates(found: Sequence[PlanStanding], begin: date, end: date) -> dict[tuple[int, int], list[PlanDay]]:
    return {(at.plan.pk, at.site.pk): dates_between(at, begin, end) for at, _ in found}


def _mark() -> Mark:
    """Return how far every history has grown. One query."""
    newest = [Subquery(table.history.order_by("-history_id").values("history_id")[:1]) for table in DEPENDS_ON]
    named = {f"newest_{number}": each for number, each in enumerate(newest)}
    found = User.objects.order_by("pk").annotate(**named).values_list(*named)[:1]
    return (*found[0], int(time.time() // AT_MOST_SECONDS))


@lru_cache(maxsize=1)
def _all(today: date, mark: Mark) -> list[PlanStanding]:
    plans = VisitPlan.objects.filter(ended_on__isnull=True).select_related("site__client", "client", "tech")
    return _worked_out(plans, Site.objects.select_related("client"), today)


@lru_cache(maxsize=3)
def _dates_of_all(today: date, mark: Mark, begin: date, end: date) -> dict[tuple[int, int], list[PlanDay]]:
    return _dates(_all(today, mark), begin, end)
