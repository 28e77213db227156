"""What stands at a site already, as plain values: what a design must fit in with."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from registry.audio.models import Line, Zone
from registry.equipment.models import Kind, Place, Status
from registry.equipment.queries import item_in, settings_now, with_items
from registry.planning.reach import FedZone, Unit
from registry.planning.units import fed_zones, units_of
from registry.planning.wired import SiteWiring, WiredCoil, natural, wiring_of
from sites.models import Site


@dataclass(frozen=True, slots=True)
class FilledPlace:
    """A place that an amplifier in service fills now."""

    name: str
    model: str


@dataclass(frozen=True, slots=True)
class MeasuredDrive:
    """What a channel gave with its control where it stood: dial and cap in %, volts at the terminals."""

    place: str
    model: str
    channel: str
    dial: float
    cap: float
    volts: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Places, lines, coils, settings and measured drives of a site."""

    places: frozenset[str]
    tags: frozenset[str]
    lines: frozenset[str]
    channels: frozenset[str]
    amplifiers: tuple[FilledPlace, ...]
    coils: tuple[WiredCoil, ...]
    units: tuple[Unit, ...]
    zones: tuple[FedZone, ...]
    drives: tuple[MeasuredDrive, ...]

    @property
    def counts_channels(self) -> bool:
        """Whether channels are numbered here (and not lettered)."""
        return not self.channels or any(channel.isdecimal() for channel in self.channels)


def surroundings(site: Site, wiring: SiteWiring | None = None) -> Surroundings:
    """Return what stands at a site; `wiring` is what was read of it already. Four queries, or seven."""
    wiring = wiring or wiring_of(site, Zone.objects.filter(site=site))
    places = list(with_items(Place.objects.filter(site=site)))
    amplifiers = _amplifiers(places)
    return Surroundings(
        places=frozenset(place.name for place in places),
        tags=frozenset(site.items.values_list("tag", flat=True)),
        lines=frozenset(Line.objects.filter(site=site).values_list("name", flat=True)),
        channels=frozenset(coil.channel for coil in wiring.coils),
        amplifiers=amplifiers,
        coils=tuple(wiring.coils),
        units=tuple(units_of(places, settings_now(places))),
        zones=tuple(fed_zones(wiring.zones, ((coil.zone, coil.amplifier) for coil in wiring.coils))),
        drives=tuple(_drives(wiring, {place.name: place.model for place in amplifiers})),
    )


def _amplifiers(places: Iterable[Place]) -> tuple[FilledPlace, ...]:
    filled = [(place, item) for place in places if (item := item_in(place)) and item.status == Status.IN_SERVICE]
    found = [FilledPlace(place.name, str(m)) for place, item in filled if (m := item.make_model).kind == Kind.AMPLIFIER]
    return tuple(sorted(found, key=lambda place: natural(place.name)))


def _drives(wiring: SiteWiring, models: Mapping[str, str]) -> list[MeasuredDrive]:
    """Readings with dial, cap and volts of zones that hang on one channel by themselves or with others."""
    found = []
    for zone in wiring.zones:
        reading = wiring.driven.get(zone.pk)
        channels = {(coil.amplifier, coil.channel) for coil in wiring.coils if coil.zone == zone.name}
        if reading is None or len(channels) != 1 or not reading.dial or not reading.cap or not reading.drive_v:
            continue
        place, channel = channels.pop()
        if place in models:
            found.append(MeasuredDrive(place, models[place], channel, reading.dial, reading.cap, reading.drive_v))
    return found
