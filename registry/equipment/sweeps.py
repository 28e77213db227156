"""A network sweep goes in as observations; what the register says of an address changes only by an act of its own."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from django.db import transaction
from django.utils import timezone

from registry.equipment.filling import put_places
from registry.equipment.models import HostObservation, Item, NetworkSweep, Place
from registry.equipment.sweep_queries import last_seen
from sites.models import Site, User
from sites.put import Batch, Key

CLOCKS_DIFFER = timedelta(minutes=5)


class SeenHost(NamedTuple):
    """One host as a scanner saw it; `mac` and `hostname` are empty where it didn't say."""

    ip: str
    mac: str
    hostname: str
    seen_at: datetime


class Swept(NamedTuple):
    """A sweep, and whether this very file had been accepted before."""

    sweep: NetworkSweep
    again: bool


def swept_at(hosts: Sequence[SeenHost]) -> datetime:
    """Return when a sweep ended: when its last host was seen.

    Raises ValueError when it holds no host, or one that is still to come.
    """
    if not hosts:
        raise ValueError("no host was seen: sweep again from inside the site's network")
    latest = max(host.seen_at for host in hosts)
    if latest > timezone.now() + CLOCKS_DIFFER:
        raise ValueError(f"a host was seen at {latest:%Y-%m-%d %H:%M %Z}, which is in the future: correct the time")
    return latest


@transaction.atomic
def record_sweep(*, by: User | None, site: Site, source: str, sha256: str, hosts: Sequence[SeenHost]) -> Swept:
    """Record what a sweep saw. The same file again records nothing; no recorded address changes."""
    at = swept_at(hosts)
    sweep, fresh = NetworkSweep.objects.get_or_create(
        site=site, sha256=sha256, defaults={"swept_at": at, "source": source[-200:], "recorded_by": by}
    )
    if fresh:
        HostObservation.objects.bulk_create([HostObservation(sweep=sweep, **host._asdict()) for host in hosts])
    return Swept(sweep, again=not fresh)


@transaction.atomic
def record_seen_address(*, by: User, item: Item, ip: str) -> Place:
    """Make the address at which an item was last seen that of its place; the history keeps the one before.

    Raises ValueError when the item is in no place, or was seen elsewhere since.
    """
    now = item.placements.filter(current=True).select_related("place").first()
    if now is None:
        raise ValueError(f"{item} is in no place, and an address belongs to a place: put it in one first")
    seen = last_seen([item]).get(item.pk)
    if seen is None or seen.ip != ip:
        raise ValueError(f"{item} was not last seen at {ip}: look at its page again")
    key: Key = (now.place.site_id, now.place.name)
    return put_places(Batch(by=by), {key: {"ip": ip}})[key]
