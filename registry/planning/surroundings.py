"""What stands at a site already, as plain values: what a design must fit in with."""

from dataclasses import dataclass

from registry.audio.models import Line, Zone
from registry.equipment.models import Kind, Placement, Status
from registry.planning.queries import driven_readings
from registry.planning.reach import FedZone, Unit
from registry.planning.units import fed_zones, units_of
from registry.planning.wired import WiredCoil, natural, wired_coils
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


def surroundings(site: Site) -> Surroundings:
    """Return what stands at a site. A constant number of queries."""
    coils = tuple(wired_coils(site))
    zones = list(Zone.objects.filter(site=site))
    amplifiers = _amplifiers(site)
    return Surroundings(
        places=frozenset(site.places.values_list("name", flat=True)),
        tags=frozenset(site.items.values_list("tag", flat=True)),
        lines=frozenset(Line.objects.filter(site=site).values_list("name", flat=True)),
        channels=frozenset(coil.channel for coil in coils),
        amplifiers=amplifiers,
        coils=coils,
        units=tuple(units_of(site)),
        zones=tuple(fed_zones(site, zones)),
        drives=tuple(_drives(zones, coils, {place.name: place.model for place in amplifiers})),
    )


def _amplifiers(site: Site) -> tuple[FilledPlace, ...]:
    filled = Placement.objects.filter(
        place__site=site, current=True, item__make_model__kind=Kind.AMPLIFIER, item__status=Status.IN_SERVICE
    ).select_related("place", "item__make_model__make")
    found = [FilledPlace(placement.place.name, str(placement.item.make_model)) for placement in filled]
    return tuple(sorted(found, key=lambda place: natural(place.name)))


def _drives(zones: list[Zone], coils: tuple[WiredCoil, ...], models: dict[str, str]) -> list[MeasuredDrive]:
    """Readings with dial, cap and volts of zones that hang on one channel by themselves or with others."""
    readings = driven_readings(zones)
    found = []
    for zone in zones:
        reading = readings.get(zone.pk)
        channels = {(coil.amplifier, coil.channel) for coil in coils if coil.zone == zone.name}
        if reading is None or len(channels) != 1 or not reading.dial or not reading.cap or not reading.drive_v:
            continue
        place, channel = channels.pop()
        if place in models:
            found.append(MeasuredDrive(place, models[place], channel, reading.dial, reading.cap, reading.drive_v))
    return found
