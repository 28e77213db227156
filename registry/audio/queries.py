"""Reads that begin with who is looking."""

from collections.abc import Iterable

from django.contrib.auth.models import AnonymousUser
from django.db.models import Count, F, Q, QuerySet

from registry.audio.models import Coil, Line, Loudspeaker, Zone
from sites.models import Site, User
from sites.queries import at_sites_of


def zones_visible_to(user: User | AnonymousUser) -> QuerySet[Zone]:
    """Return the zones that `user` may read."""
    return Zone.objects.filter(at_sites_of(user)).select_related("site__client", "space")


def lines_visible_to(user: User | AnonymousUser) -> QuerySet[Line]:
    """Return the lines that `user` may read."""
    return Line.objects.filter(at_sites_of(user)).select_related("site__client", "amplifier")


def loudspeakers_visible_to(user: User | AnonymousUser) -> QuerySet[Loudspeaker]:
    """Return the loudspeakers that `user` may read."""
    return Loudspeaker.objects.filter(at_sites_of(user)).select_related("site", "zone", "make_model__make")


def loudspeakers_with_a_free_coil(user: User | AnonymousUser, site: Site) -> QuerySet[Loudspeaker]:
    """Return the loudspeakers of a site that `user` may read and that have, or may have, a coil to connect."""
    units = loudspeakers_visible_to(user).filter(site=site).annotate(connected=Count("coils"))
    free = Q(make_model__loudspeaker__coils__isnull=True) | Q(connected__lt=F("make_model__loudspeaker__coils"))
    return units.filter(free).prefetch_related("coils").order_by("label")


def coils_visible_to(user: User | AnonymousUser) -> QuerySet[Coil]:
    """Return the connected coils that `user` may read."""
    return Coil.objects.filter(at_sites_of(user, "line__site")).select_related("line__site", "loudspeaker__zone")


def lines_touched_by(site_ids: Iterable[int], model_ids: Iterable[int]) -> QuerySet[Line]:
    """Return the lines whose load may change with these sites, or with these makes and models anywhere."""
    models = list(model_ids)
    amplifiers = Q(amplifier__placements__current=True, amplifier__placements__item__make_model__in=models)
    loudspeakers = Q(coils__loudspeaker__make_model__in=models)
    found = Line.objects.filter(Q(site__in=list(site_ids)) | amplifiers | loudspeakers).values("pk").distinct()
    return Line.objects.filter(pk__in=found)
