"""Reads of network sweeps: the newest of a site, and where an item was seen last."""

from collections.abc import Iterable, Sequence

from django.contrib.auth.models import AnonymousUser
from django.db.models import Count, Prefetch, QuerySet

from registry.equipment.models import HostObservation, Item, NetworkSweep, Placement
from registry.equipment.queries import items_with_places, settings_now
from registry.equipment.sweep_matching import Seen, SweepMatch, match_sweep
from sites.models import Site, User
from sites.queries import at_sites_of

ADDRESS_MODE = "address mode"
RESERVATION = "reservation"


def sweeps_visible_to(user: User | AnonymousUser) -> QuerySet[NetworkSweep]:
    """Return the sweeps that `user` may read, the newest first."""
    return NetworkSweep.objects.filter(at_sites_of(user)).select_related("site__client", "recorded_by")


def sweeps_with_counts(user: User | AnonymousUser, site: Site) -> QuerySet[NetworkSweep]:
    """Return the sweeps of a site; `host_count` says how many hosts each saw."""
    return sweeps_visible_to(user).filter(site=site).annotate(host_count=Count("hosts"))


def sweep_of_file(user: User | AnonymousUser, site: Site, sha256: str) -> NetworkSweep | None:
    """Return the sweep that this very file made, or None."""
    return sweeps_visible_to(user).filter(site=site, sha256=sha256).first()


def items_on_network(site: Site) -> list[Item]:
    """Return the items of a site that have a MAC address, each with its placement now in `filling`. Two queries."""
    now = Placement.objects.filter(current=True).select_related("place")
    items = Item.objects.filter(site=site).exclude(mac="").select_related("make_model__make")
    return list(items.prefetch_related(Prefetch("placements", now, to_attr="filling")))


def items_elsewhere(user: User | AnonymousUser, site: Site, macs: Iterable[str]) -> dict[str, Item]:
    """Return items of other sites that `user` may read, by these MAC addresses: a unit that was moved, or a slip."""
    items = items_with_places(user).exclude(site=site).filter(mac__in=[mac for mac in macs if mac])
    return {item.mac: item for item in items}


def last_seen(items: Sequence[Item]) -> dict[int, HostObservation]:
    """Return the newest observation of every item, by the item's id. One query."""
    by_mac = {(item.site_id, item.mac): item.pk for item in items if item.mac}
    seen = HostObservation.objects.filter(
        sweep__site__in={site for site, _ in by_mac}, mac__in={mac for _, mac in by_mac}
    ).select_related("sweep")
    newest: dict[int, HostObservation] = {}
    for each in seen.order_by("seen_at", "pk"):
        if (found := by_mac.get((each.sweep.site_id, each.mac))) is not None:
            newest[found] = each
    return newest


def sweep_against_register(site: Site, hosts: Iterable[Seen]) -> SweepMatch:
    """Return what was seen against what the register says now. A constant number of queries."""
    items = items_on_network(site)
    places = [filling.place for item in items for filling in item.filling]  # type: ignore[attr-defined]
    modes = settings_now(places)
    reserved = {pk for pk, now in modes.items() if ADDRESS_MODE in now and now[ADDRESS_MODE].value == RESERVATION}
    return match_sweep(hosts, items, reserved)
