"""Which addresses a site consists of, for the phone that keeps it: those that its person may open."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q
from django.urls import reverse

from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.queries import newest_baselines, restores_visible_to
from registry.equipment.queries import places_visible_to
from registry.planning.commissioning_queries import spot_photos_visible_to
from registry.visits.queries import findings_visible_to, visit_photos_visible_to, visits_visible_to
from registry.web.offline.app import static_addresses
from sites.models import Site, User
from sites.queries import racks_visible_to


def bundle_of(user: User, site: Site) -> list[str]:
    """Return the addresses in the order in which they are fetched. A constant number of queries."""
    pages = [*_site(user, site), *_things(user, site), *_visits(user, site), *_photos(user, site)]
    return [*dict.fromkeys([*pages, *static_addresses()])]


def _site(user: User, site: Site) -> Iterator[str]:
    yield from (reverse("site", args=[site.code]), reverse("phone"), reverse("today"), reverse("comparator"))
    for name in ("door-card-page", "site-drift", "site-documents", "site-network"):
        yield reverse(name, args=[site.code])
    yield reverse("client", args=[site.client_id])
    if user.may_write:
        yield reverse("finding-new", args=[site.code])
    if (baseline := newest_baselines([site.pk]).get(site.pk)) is not None:
        yield from (reverse(name, args=[baseline.pk]) for name in ("baseline", "restore-sheet"))
    yield from _each("restore", restores_visible_to(user).filter(site=site, signed_at__isnull=True))


def _things(user: User, site: Site) -> Iterator[str]:
    zones = list(zones_visible_to(user).filter(site=site))
    for name in ("zone", "zone-comparator", *(("reading-new",) if user.may_write else ())):
        yield from _each(name, zones)
    yield from _each("line", lines_visible_to(user).filter(site=site))
    yield from _each("rack", racks_visible_to(user).filter(site=site))
    yield from _each("place", places_visible_to(user).filter(site=site))


def _visits(user: User, site: Site) -> Iterator[str]:
    open_visits = visits_visible_to(user).filter(site=site, closed_at__isnull=True, called_off_because="")
    for visit in open_visits.prefetch_related("tasks"):
        forms = ("visit-finding-new", "visit-photo-new", "visit-part-new") if user.may_write else ()
        yield from (reverse(name, args=[visit.pk]) for name in ("visit", *forms))
        yield from (reverse("visit-task", args=[visit.pk, task.pk]) for task in visit.tasks.all())
    findings = list(findings_visible_to(user).filter(site=site, closed_at__isnull=True))
    for name in ("finding", *(("finding-close",) if user.may_write else ())):
        yield from _each(name, findings)


def _photos(user: User, site: Site) -> Iterator[str]:
    yield from _each("spot-photo", spot_photos_visible_to(user).filter(zone__site=site))
    shown = Q(visit__closed_at__isnull=True) | Q(finding__isnull=False, finding__closed_at__isnull=True)
    yield from _each("visit-photo", visit_photos_visible_to(user).filter(shown, visit__site=site))


def _each(name: str, rows: Iterable[Any]) -> Iterator[str]:
    return (reverse(name, args=[row.pk]) for row in rows)
