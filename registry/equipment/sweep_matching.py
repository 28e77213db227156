"""What a sweep saw against what the register says: by MAC address, nothing guessed."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from registry.equipment.models import Item, Place, Status
from registry.equipment.queries import place_of


class Seen(Protocol):
    """A host that was seen, whether recorded already or only read from a file."""

    @property
    def ip(self) -> str: ...
    @property
    def mac(self) -> str: ...
    @property
    def hostname(self) -> str: ...
    @property
    def seen_at(self) -> datetime: ...


@dataclass(frozen=True, slots=True)
class ItemSeen:
    """An item, its place, and the hosts with its MAC address; the newest one last."""

    item: Item
    place: Place | None
    hosts: Sequence[Seen]
    reserved: bool

    @property
    def host(self) -> Seen:
        """The newest of them."""
        return self.hosts[-1]

    @property
    def recorded(self) -> str | None:
        """The address that the register says, None where it says none."""
        return self.place.ip if self.place else None

    @property
    def as_recorded(self) -> bool:
        """Whether it was seen where the register says."""
        return any(host.ip == self.recorded for host in self.hosts)


@dataclass(frozen=True, slots=True)
class SweepMatch:
    """Every host of a sweep and every item with a MAC address, each in one place of this."""

    as_recorded: Sequence[ItemSeen]
    elsewhere: Sequence[ItemSeen]
    unknown: Sequence[Seen]
    without_mac: Sequence[Seen]
    missing: Sequence[ItemSeen]
    same_ip: Mapping[str, Sequence[Seen]]

    @property
    def host_count(self) -> int:
        """How many rows the sweep has."""
        seen = sum(len(each.hosts) for each in (*self.as_recorded, *self.elsewhere))
        return seen + len(self.unknown) + len(self.without_mac)


def match_sweep(hosts: Iterable[Seen], items: Iterable[Item], reserved: set[int]) -> SweepMatch:
    """Match hosts with items (`with_places`); `reserved` holds the ids of places with a DHCP reservation.

    Missing is an item in service that wasn't seen: a spare in its box, and what is faulty or removed, is not expected.
    """
    by_mac: dict[str, list[Seen]] = defaultdict(list)
    for host in sorted(hosts, key=lambda each: each.seen_at):
        by_mac[host.mac].append(host)
    without_mac = by_mac.pop("", [])
    items = list(items)
    matched = [_item_seen(item, by_mac.get(item.mac, []), reserved) for item in items]
    seen = [each for each in matched if each.hosts]
    known = {item.mac for item in items}
    return SweepMatch(
        as_recorded=[each for each in seen if each.as_recorded],
        elsewhere=[each for each in seen if not each.as_recorded],
        unknown=[host for mac, found in by_mac.items() if mac not in known for host in found],
        without_mac=without_mac,
        missing=[each for each in matched if not each.hosts and each.item.status == Status.IN_SERVICE],
        same_ip=_same_ip(by_mac),
    )


def _item_seen(item: Item, hosts: Sequence[Seen], reserved: set[int]) -> ItemSeen:
    place = place_of(item)
    return ItemSeen(item, place, hosts, reserved=place is not None and place.pk in reserved)


def _same_ip(by_mac: Mapping[str, Sequence[Seen]]) -> dict[str, Sequence[Seen]]:
    """Return the addresses at which more than one network card answered."""
    at: dict[str, dict[str, Seen]] = defaultdict(dict)
    for mac, found in by_mac.items():
        for host in found:
            at[host.ip][mac] = host
    return {ip: list(hosts.values()) for ip, hosts in sorted(at.items()) if len(hosts) > 1}
