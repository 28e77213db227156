"""Writes of a visit before it is begun: schedule it, move it, give it to a tech, call it off."""

from datetime import date, datetime
from typing import NamedTuple

from django.db import IntegrityError, transaction

from registry.visits.due_tasks import add_due_tasks
from registry.visits.models import Visit, VisitKind, VisitPlan
from sites.models import Site, User
from sites.put import RefusedError, refuse
from sites.versions import check_version

MOST_MINUTES = 1440


class PlanDate(NamedTuple):
    """A date of a plan's rule, which a visit is made for."""

    plan: VisitPlan
    date: date


@transaction.atomic
def schedule_visit(
    *,
    by: User,
    site: Site,
    title: str,
    starts_at: datetime,
    minutes: int = 60,
    tech: User | None = None,
    kind: VisitKind = VisitKind.OTHER,
    of: PlanDate | None = None,
) -> Visit:
    """Make a visit. One `of` a plan's date is planned, and carries the plan's tasks that are due by its day."""
    if of is not None:
        _refuse_other_site(of.plan, site)
    plan, occurrence = of or (None, None)
    visit = Visit(
        site=site,
        kind=VisitKind.PLANNED if of else kind,
        plan=plan,
        occurrence=occurrence,
        title=title.strip(),
        starts_at=starts_at,
        planned_minutes=minutes,
        tech=tech,
    )
    _check(visit)
    visit._history_user = by  # type: ignore[attr-defined]
    _insert(visit)
    add_due_tasks(by=by, visit=visit)
    return visit


def _insert(visit: Visit) -> None:
    try:
        with transaction.atomic():
            visit.save()
    except IntegrityError as error:
        raise _taken(visit) from error


def _taken(visit: Visit) -> RefusedError:
    says = f"a visit of this plan for {visit.occurrence} is in the register already: open that one"
    return refuse("visit", (visit.site_id, visit.occurrence), "starts_at", says)


def _refuse_other_site(plan: VisitPlan, site: Site) -> None:
    if plan.site_id != site.pk and plan.client_id != site.client_id:
        raise refuse("visit", (site.pk,), "site", f"the plan {plan.name} is not for {site}")


def _check(visit: Visit) -> None:
    key = (visit.site_id, visit.occurrence)
    if not visit.title:
        raise refuse("visit", key, "title", "say what the visit is for")
    if not 5 <= visit.planned_minutes <= MOST_MINUTES:
        raise refuse("visit", key, "minutes", f"plan 5 to {MOST_MINUTES} minutes")
    if visit.starts_at.tzinfo is None:
        raise ValueError("starts_at needs a time zone: give the time at the site")
    if visit.tech is not None and not visit.tech.may_write:
        raise refuse("visit", key, "tech", f"{visit.tech} can't record a visit: choose a tech or a manager")


@transaction.atomic
def move_visit(
    *, by: User, visit: Visit, starts_at: datetime, minutes: int, tech: User | None, version: str | None = None
) -> Visit:
    """Put a visit that is not begun on another day or time, or give it to somebody else. Its plan's date stays.

    Tasks that come due by the new day are added; none is taken away. Raises ValueError when the visit was begun or
    called off, or somebody else moved it since `version`.
    """
    check_version(visit, version, {"starts_at": starts_at, "planned_minutes": minutes, "tech": tech})
    visit = _waiting(visit)
    visit.starts_at, visit.planned_minutes, visit.tech = starts_at, minutes, tech
    _check(visit)
    visit._history_user = by  # type: ignore[attr-defined]
    visit.save()
    add_due_tasks(by=by, visit=visit)
    return visit


@transaction.atomic
def call_off_visit(*, by: User, visit: Visit, reason: str, version: str | None = None) -> Visit:
    """Call off a visit that is not begun. The date of its plan counts as dealt with; the next one stands.

    Raises ValueError when the visit was begun or called off, or somebody else moved it since `version`.
    """
    check_version(visit, version, dict.fromkeys(("starts_at", "planned_minutes", "tech")))
    visit = _waiting(visit)
    if not reason.strip():
        raise refuse("visit", (visit.pk,), "reason", "say why it is called off: the owner will ask")
    visit.called_off_because = reason.strip()
    visit._history_user = by  # type: ignore[attr-defined]
    visit.save()
    return visit


def _waiting(visit: Visit) -> Visit:
    """Return the visit, locked, unless it was begun or ended."""
    found = Visit.objects.select_for_update().get(pk=visit.pk)
    if found.called_off_because:
        raise refuse("visit", (found.pk,), "starts_at", "this visit was called off: schedule another one")
    if found.begun_at is not None or found.closed_at is not None:
        raise refuse("visit", (found.pk,), "starts_at", "this visit was begun: end it instead")
    return found
