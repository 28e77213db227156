"""Reads of visit plans, visits, findings and calls."""

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet

from registry.visits.models import Finding, ServiceCall, Visit, VisitPlan
from sites.models import User
from sites.queries import clients_visible_to, sites_visible_to


def visit_plans_visible_to(user: User | AnonymousUser) -> QuerySet[VisitPlan]:
    """Return the plans of the sites, and of the clients, that `user` may read."""
    return VisitPlan.objects.filter(
        Q(site__in=sites_visible_to(user)) | Q(client__in=clients_visible_to(user))
    ).select_related("site__client", "client", "tech")


def visits_visible_to(user: User | AnonymousUser) -> QuerySet[Visit]:
    """Return the visits that `user` may read."""
    return Visit.objects.filter(site__in=sites_visible_to(user)).select_related("site__client", "plan", "tech")


def findings_visible_to(user: User | AnonymousUser) -> QuerySet[Finding]:
    """Return the findings that `user` may read; owners see none that are internal."""
    found = Finding.objects.filter(site__in=sites_visible_to(user)).select_related(
        "site__client", "visit", "place", "line", "zone", "found_by"
    )
    return found if isinstance(user, User) and user.may_write else found.filter(internal=False)


def calls_visible_to(user: User | AnonymousUser) -> QuerySet[ServiceCall]:
    """Return the service calls that `user` may read."""
    return ServiceCall.objects.filter(site__in=sites_visible_to(user)).select_related(
        "site__client", "taken_by", "visit"
    )
