"""What the register says of a site's network, read once: for sweeps, and for addresses that are claimed twice."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from registry.equipment.models import Item, Place
from registry.equipment.queries import SettingNow, place_of, settings_now, with_places
from sites.models import Site


class SiteNetwork(NamedTuple):
    """Items with a MAC address that came through `with_places`, places, and the settings of places by their id."""

    items: Sequence[Item]
    places: Sequence[Place]
    settings: Mapping[int, Mapping[str, SettingNow]]


def items_on_network(site: Site) -> list[Item]:
    """Return the items of a site that have a MAC address, each with its place now. One query."""
    return list(with_places(Item.objects.filter(site=site).exclude(mac="").select_related("make_model__make")))


def network_of(site: Site) -> SiteNetwork:
    """Return what the register says of a site's network. Three queries."""
    items = items_on_network(site)
    filled = [place for item in items if (place := place_of(item))]
    return SiteNetwork(items, list(Place.objects.filter(site=site, ip__isnull=False)), settings_now(filled))
