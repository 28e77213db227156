"""Reads of network sweeps: the newest of a site, and where an item was seen last."""

from collections.abc import Iterable, Sequence

from django.contrib.auth.models import AnonymousUser
from django.db.models import Count, QuerySet, Subquery

from registry.equipment.models import HostObservation, Item, NetworkSweep
from registry.equipment.queries import items_with_places
from registry.equipment.site_network import SiteNetwork
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


def newest_hosts(user: User | AnonymousUser, site: Site) -> list[HostObservation]:
    """Return the hosts that the newest sweep of a site saw, each with the sweep; none has no host. One query."""
    newest = sweeps_visible_to(user).filter(site=site).values("pk")[:1]
    return list(HostObservation.objects.filter(sweep=Subquery(newest)).select_related("sweep"))


def sweep_of_file(user: User | AnonymousUser, site: Site, sha256: str) -> NetworkSweep | None:
    """Return the sweep that this very file made, or None."""
    return sweeps_visible_to(user).filter(site=site, sha256=sha256).first()


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


def sweep_against_register(network: SiteNetwork, hosts: Iterable[Seen]) -> SweepMatch:
    """Return what was seen against what the register says now."""
    modes = {pk: now[ADDRESS_MODE].value for pk, now in network.settings.items() if ADDRESS_MODE in now}
    return match_sweep(hosts, network.items, {pk for pk, mode in modes.items() if mode == RESERVATION})
