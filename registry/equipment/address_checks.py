"""The same MAC address on two items of a site, or the same IP address on two places: one of them is a slip."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from registry.equipment.models import Item, Place, Status
from registry.equipment.site_network import SiteNetwork


class Twice(NamedTuple):
    """One address and the rows that claim it."""

    what: str
    address: str
    rows: Sequence[Item | Place]

    @property
    def says(self) -> str:
        """What is wrong, in a sentence."""
        names = " and ".join(str(row) for row in self.rows)
        return f"{self.what} {self.address} is recorded for {names}: one of them is wrong."


def addresses_twice(network: SiteNetwork) -> list[Twice]:
    """Return what is claimed twice in a site; items that were removed claim nothing."""
    items = [item for item in network.items if item.status != Status.REMOVED]
    return [
        *_twice("MAC address", ((item.mac, item) for item in items)),
        *_twice("IP address", ((place.ip, place) for place in network.places if place.ip)),
    ]


def _twice(what: str, claims: Iterable[tuple[str, Item | Place]]) -> list[Twice]:
    claimed: dict[str, list[Item | Place]] = defaultdict(list)
    for address, row in claims:
        claimed[address].append(row)
    return [Twice(what, address, rows) for address, rows in sorted(claimed.items()) if len(rows) > 1]
