"""Reads of readings, baselines and restores."""

from collections.abc import Iterable

from django.contrib.auth.models import AnonymousUser
from django.db.models import Exists, OuterRef, QuerySet, Subquery

from registry.audio.models import Zone
from registry.baselines.models import Baseline, Reading, Restore
from sites.models import Site, User
from sites.queries import at_sites_of


def readings_visible_to(user: User | AnonymousUser) -> QuerySet[Reading]:
    """Return the readings that `user` may read."""
    return Reading.objects.filter(at_sites_of(user, "zone__site")).select_related("zone__site")


def baselines_visible_to(user: User | AnonymousUser) -> QuerySet[Baseline]:
    """Return the baselines that `user` may read."""
    return Baseline.objects.filter(at_sites_of(user)).select_related("site__client", "author")


def with_baseline(sites: QuerySet[Site]) -> QuerySet[Site]:
    """Return the sites that somebody has frozen."""
    return sites.filter(Exists(Baseline.objects.filter(site=OuterRef("pk"))))


def without_baseline(sites: QuerySet[Site]) -> QuerySet[Site]:
    """Return the sites that nobody has frozen yet."""
    return sites.filter(~Exists(Baseline.objects.filter(site=OuterRef("pk"))))


def restores_visible_to(user: User | AnonymousUser) -> QuerySet[Restore]:
    """Return the restores that `user` may read."""
    return Restore.objects.filter(at_sites_of(user)).select_related("site__client", "baseline", "started_by")


def newest_readings(zones: Iterable[Zone]) -> dict[int, Reading]:
    """Return the newest reading of every zone by its id, corrected ones left out. One query.

    At the same time, as left is newer than as found.
    """
    newest = (
        Reading.objects.filter(zone=OuterRef("pk"), correction__isnull=True)
        .order_by("-taken_at", "-state", "-pk")
        .values("pk")[:1]
    )
    ids = Zone.objects.filter(pk__in=[zone.pk for zone in zones]).annotate(newest=Subquery(newest)).values("newest")
    return {reading.zone_id: reading for reading in Reading.objects.filter(pk__in=ids).select_related("zone")}


def newest_baselines(site_ids: Iterable[int]) -> dict[int, Baseline]:
    """Return the highest-numbered baseline of every site by the site's id. One query."""
    highest = Baseline.objects.filter(site=OuterRef("site")).order_by("-number").values("pk")[:1]
    found = Baseline.objects.filter(site_id__in=list(site_ids), pk=Subquery(highest)).select_related("author")
    return {baseline.site_id: baseline for baseline in found}
