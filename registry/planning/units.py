"""The units of a site and the zones that they feed, as source reach takes them. A constant number of queries."""

from collections.abc import Iterable

from registry.audio.models import Coil, Zone
from registry.equipment.models import Kind, Place
from registry.equipment.queries import settings_now
from registry.planning.reach import FedZone, Reach, Unit, reach
from sites.models import Site

PLAYING = (Kind.AMPLIFIER, Kind.ENDPOINT)


def units_of(site: Site) -> list[Unit]:
    """Return the places of a site that an amplifier or an endpoint fills now, with their settings. Two queries."""
    playing = Place.objects.filter(
        site=site, placements__current=True, placements__item__make_model__kind__in=PLAYING
    ).order_by("name")
    places = list(playing)
    now = settings_now(places)
    return [
        Unit(place.name, {key.casefold(): setting.value for key, setting in now.get(place.pk, {}).items()})
        for place in places
    ]


def fed_zones(site: Site, zones: Iterable[Zone]) -> list[FedZone]:
    """Return these zones of a site with the units that drive them. One query."""
    pairs = (
        Coil.objects.filter(line__site=site)
        .order_by("line__amplifier__name")
        .values_list("loudspeaker__zone_id", "line__amplifier__name")
        .distinct()
    )
    driven: dict[int, list[str]] = {}
    for zone_id, amplifier in pairs:
        driven.setdefault(zone_id, []).append(amplifier)
    return [FedZone(zone.name, zone.source, tuple(driven.get(zone.pk, []))) for zone in zones]


def reach_of(site: Site, zones: Iterable[Zone]) -> Reach:
    """Return the source reach of these zones of a site as it is recorded now."""
    return reach(fed_zones(site, zones), units_of(site))
