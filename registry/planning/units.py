"""The units of a site and the zones that they feed, as source reach takes them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from registry.audio.models import Zone
from registry.equipment.models import Kind, Place
from registry.equipment.queries import SettingNow, item_in
from registry.planning.reach import FedZone, Unit

PLAYING = (Kind.AMPLIFIER, Kind.ENDPOINT)


def units_of(places: Iterable[Place], settings: Mapping[int, Mapping[str, SettingNow]]) -> list[Unit]:
    """Return the places that an amplifier or an endpoint fills now, with their settings by the place's id.

    The places came through `with_items`.
    """
    playing = [place for place in places if (item := item_in(place)) and item.make_model.kind in PLAYING]
    return [
        Unit(place.name, {key.casefold(): setting.value for key, setting in settings.get(place.pk, {}).items()})
        for place in playing
    ]


def fed_zones(zones: Iterable[Zone], feeds: Iterable[tuple[str, str]]) -> list[FedZone]:
    """Return zones with the units that drive them; `feeds` has the names of a zone and of a unit for each."""
    driven: defaultdict[str, set[str]] = defaultdict(set)
    for zone, unit in feeds:
        driven[zone].add(unit)
    return [FedZone(zone.name, zone.source, tuple(sorted(driven[zone.name]))) for zone in zones]
