"""Reads of visit plans, visits, findings and calls."""

from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet

from registry.baselines.models import Restore
from registry.equipment.models import ConfigurationRecord
from registry.visits.models import (
    Finding,
    Holiday,
    MovedDate,
    OwnersReport,
    PartUsed,
    ServiceCall,
    SiteHours,
    Visit,
    VisitGuestLink,
    VisitPhoto,
    VisitPlan,
    VisitTask,
)
from sites.models import Client, Role, Site, User
from sites.queries import at_sites_of, clients_visible_to, sites_visible_to
from sites.versions import with_version


def visit_plans_visible_to(user: User | AnonymousUser) -> QuerySet[VisitPlan]:
    """Return the plans of the sites, and of the clients, that `user` may read."""
    plans = VisitPlan.objects.select_related("site__client", "client", "tech")
    if isinstance(user, User) and user.sees_every_client:
        return plans
    return plans.filter(Q(site__in=sites_visible_to(user)) | Q(client__in=clients_visible_to(user)))


def visit_plans_of_client(user: User | AnonymousUser, client: Client) -> QuerySet[VisitPlan]:
    """Return the plans of a client, for all of its sites or for one, that are not ended."""
    found = visit_plans_visible_to(user).filter(Q(client=client) | Q(site__client=client), ended_on__isnull=True)
    return found.order_by("site__name", "name", "pk")


def visits_visible_to(user: User | AnonymousUser) -> QuerySet[Visit]:
    """Return the visits that `user` may read."""
    return Visit.objects.filter(at_sites_of(user)).select_related("site__client", "plan", "tech")


def in_full(visits: QuerySet[Visit]) -> QuerySet[Visit]:
    """Join to visits what a page or a report of one names: its plan, its call, who began and who closed it."""
    return visits.select_related("site__client", "plan", "tech", "call", "begun_by", "closed_by")


def findings_visible_to(user: User | AnonymousUser) -> QuerySet[Finding]:
    """Return the findings that `user` may read; owners see none that are internal."""
    found = Finding.objects.filter(at_sites_of(user)).select_related(
        "site__client", "visit", "place", "line", "zone", "found_by"
    )
    return found if isinstance(user, User) and user.may_write else found.filter(internal=False)


def calls_visible_to(user: User | AnonymousUser) -> QuerySet[ServiceCall]:
    """Return the service calls that `user` may read."""
    return ServiceCall.objects.filter(at_sites_of(user)).select_related("site__client", "taken_by", "visit")


def tasks_of(visit: Visit) -> QuerySet[VisitTask]:
    """Return the tasks of a visit with what they are about, each with its version."""
    found = VisitTask.objects.filter(visit=visit).select_related("place", "rack", "line", "zone", "changed_by")
    return with_version(found)


def visit_photos_visible_to(user: User | AnonymousUser) -> QuerySet[VisitPhoto]:
    """Return the photos of visits that `user` may look at; owners see none of an internal finding."""
    found = VisitPhoto.objects.filter(at_sites_of(user, "visit__site")).select_related("visit__site", "finding")
    return found if isinstance(user, User) and user.may_write else found.exclude(finding__internal=True)


def parts_used_visible_to(user: User | AnonymousUser) -> QuerySet[PartUsed]:
    """Return every row of parts, corrected ones too, that `user` may read."""
    return PartUsed.objects.filter(at_sites_of(user, "visit__site")).select_related("visit__site__client")


def parts_of(visit: Visit) -> QuerySet[PartUsed]:
    """Return the parts that count: not corrected, and not taken out."""
    found = PartUsed.objects.filter(visit=visit, correction__isnull=True, quantity__gt=0)
    return found.select_related("make_model__make", "recorded_by")


def restores_during(visit: Visit) -> QuerySet[Restore]:
    """Return the restores that were started at the site while the visit was under way."""
    return Restore.objects.filter(site=visit.site_id, **_during(visit, "started_at")).select_related("baseline")


def records_during(visit: Visit) -> QuerySet[ConfigurationRecord]:
    """Return the configuration records that were made at the site while the visit was under way."""
    found = ConfigurationRecord.objects.filter(place__site=visit.site_id, **_during(visit, "taken_at"))
    return found.select_related("place", "recorded_by").order_by("place__name", "taken_at", "pk")


def _during(visit: Visit, column: str) -> dict[str, Any]:
    if visit.begun_at is None:
        return {f"{column}__isnull": True}
    return {f"{column}__gte": visit.begun_at} | ({f"{column}__lte": visit.closed_at} if visit.closed_at else {})


def guest_links_visible_to(user: User | AnonymousUser) -> QuerySet[VisitGuestLink]:
    """Return the links for guests to visits that `user` may read."""
    found = VisitGuestLink.objects.filter(at_sites_of(user, "visit__site"))
    return found.select_related("visit__site__client", "made_by")


def techs_visible_to(user: User | AnonymousUser) -> QuerySet[User]:
    """Return who makes visits: all of them for those who do so themselves, an owner's own visitors for an owner."""
    people = User.objects.filter(is_active=True, role__in=[Role.MANAGER, Role.TECH]).order_by("username")
    if isinstance(user, User) and user.may_write:
        return people
    return User.objects.filter(visits__in=visits_visible_to(user)).order_by("username").distinct()


def holidays_visible_to(user: User | AnonymousUser) -> QuerySet[Holiday]:
    """Return the days without visits: those of everywhere, and of the sites that `user` may read."""
    found = Q(site__isnull=True) | Q(site__in=sites_visible_to(user))
    return Holiday.objects.filter(found).select_related("site").order_by("date", "site__name", "pk")


def moved_dates_visible_to(user: User | AnonymousUser) -> QuerySet[MovedDate]:
    """Return the moved dates of plans at sites that `user` may read."""
    found = MovedDate.objects.filter(at_sites_of(user))
    return found.select_related("plan", "site__client").order_by("date", "site__name", "pk")


def hours_of(site: Site) -> QuerySet[SiteHours]:
    """Return when a site can be worked at."""
    return SiteHours.objects.filter(site=site)


def last_owners_report(client: Client, site: Site | None) -> OwnersReport | None:
    """Return the report that was recorded last, of a client as a whole or of one of its sites."""
    return OwnersReport.objects.filter(client=client, site=site).select_related("by").first()
