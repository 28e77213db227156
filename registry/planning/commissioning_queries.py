"""Reads of commissioning runs, of what was measured at lines, and of the photos of spots."""

from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db.models import FilteredRelation, Q, QuerySet

from registry.audio.models import Line
from registry.planning.models import Commissioning, LineMeasurement, SpotPhoto
from sites.models import Site, User
from sites.queries import at_sites_of


def commissionings_visible_to(user: User | AnonymousUser) -> QuerySet[Commissioning]:
    """Return the runs that `user` may read."""
    found = Commissioning.objects.filter(at_sites_of(user))
    return found.select_related("site__client", "started_by", "closed_by", "baseline")


def open_commissioning(user: User | AnonymousUser, site: Site) -> Commissioning | None:
    """Return the run that is open at a site, if `user` may read it."""
    return commissionings_visible_to(user).filter(site=site, closed_at__isnull=True).first()


def with_open_commissioning(sites: QuerySet[Any]) -> QuerySet[Any]:
    """Join to sites the run that is open there as `open_commissioning`, which a site without one lacks."""
    relation = FilteredRelation("commissionings", condition=Q(commissionings__closed_at__isnull=True))
    joined: QuerySet[Any] = sites.annotate(open_commissioning=relation)
    return joined.select_related("open_commissioning__started_by")


def measurements_visible_to(user: User | AnonymousUser) -> QuerySet[LineMeasurement]:
    """Return what was measured at the lines that `user` may read."""
    found = LineMeasurement.objects.filter(at_sites_of(user, "line__site"))
    return found.select_related("recorded_by", "correction")


def measurements_of(line: Line) -> QuerySet[LineMeasurement]:
    """Return what was measured at a line, the newest first, corrected ones too."""
    return LineMeasurement.objects.filter(line=line).select_related("recorded_by", "correction")


def spot_photos_visible_to(user: User | AnonymousUser) -> QuerySet[SpotPhoto]:
    """Return the photos of spots that `user` may look at."""
    return SpotPhoto.objects.filter(at_sites_of(user, "zone__site")).select_related("zone__site", "taken_by")
