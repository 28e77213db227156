"""Reads of readings, baselines and restores."""

from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db.models import Exists, FilteredRelation, OuterRef, Q, QuerySet, Subquery, Window
from django.db.models.functions import RowNumber

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


def with_newest_baseline(sites: QuerySet[Any]) -> QuerySet[Any]:
    """Join to sites the highest-numbered baseline of each as `newest_baseline`, which a site without one lacks."""
    newest = Baseline.objects.filter(site=OuterRef("pk")).order_by("-number").values("pk")[:1]
    relation = FilteredRelation("baselines", condition=Q(baselines__pk=Subquery(newest)))
    joined: QuerySet[Any] = sites.annotate(newest_baseline=relation)
    return joined.select_related("newest_baseline__author")


def with_open_restore(sites: QuerySet[Any]) -> QuerySet[Any]:
    """Join to sites the restore that is open there as `open_restore`, which a site without one lacks."""
    relation = FilteredRelation("restores", condition=Q(restores__signed_at__isnull=True))
    joined: QuerySet[Any] = sites.annotate(open_restore=relation).defer("open_restore__baseline__content")
    return joined.select_related("open_restore__baseline", "open_restore__started_by")


def restores_visible_to(user: User | AnonymousUser) -> QuerySet[Restore]:
    """Return the restores that `user` may read."""
    return Restore.objects.filter(at_sites_of(user)).select_related("site__client", "baseline", "started_by")


def newest_readings(zones: Iterable[Zone]) -> dict[int, Reading]:
    """Return the newest reading of every zone by its id, corrected ones left out. One query.

    At the same time, as left is newer than as found.
    """
    ids = Zone.objects.filter(pk__in=[zone.pk for zone in zones]).annotate(newest=_newest_of_zone()).values("newest")
    return {reading.zone_id: reading for reading in Reading.objects.filter(pk__in=ids).select_related("zone")}


def _newest_of_zone() -> Subquery:
    readings = Reading.objects.filter(zone=OuterRef("pk"), correction__isnull=True)
    return Subquery(readings.order_by("-taken_at", "-state", "-pk").values("pk")[:1])


def with_newest_reading(zones: QuerySet[Any]) -> QuerySet[Any]:
    """Join to zones the reading that `newest_readings` returns of each."""
    newest = FilteredRelation("readings", condition=Q(readings__pk=_newest_of_zone()))
    joined: QuerySet[Any] = zones.annotate(newest=newest)
    return joined.select_related("newest")


def newest_reading_of(zone: Any) -> Reading | None:
    """Return the newest reading of a zone that came through `with_newest_reading`; Django sets none where none is."""
    return getattr(zone, "newest", None)


def recent_readings(zones: Iterable[Zone], most: int) -> dict[int, list[Reading]]:
    """Return the `most` newest readings of every zone by its id, in the order of `newest_readings`. One query."""
    by_pk = {zone.pk: zone for zone in zones}
    newest_first = ("-taken_at", "-state", "-pk")
    rank = Window(RowNumber(), partition_by="zone", order_by=newest_first)
    rows = Reading.objects.filter(zone__in=by_pk, correction__isnull=True).annotate(rank=rank).filter(rank__lte=most)
    found: dict[int, list[Reading]] = {pk: [] for pk in by_pk}
    for reading in rows.order_by(*newest_first):
        reading.zone = by_pk[reading.zone_id]
        found[reading.zone_id].append(reading)
    return found


def newest_baselines(site_ids: Iterable[int]) -> dict[int, Baseline]:
    """Return the highest-numbered baseline of every site by the site's id. One query."""
    highest = Baseline.objects.filter(site=OuterRef("site")).order_by("-number").values("pk")[:1]
    found = Baseline.objects.filter(site_id__in=list(site_ids), pk=Subquery(highest)).select_related("author")
    return {baseline.site_id: baseline for baseline in found}
