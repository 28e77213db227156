"""Builds the further clients with the factories: sites, racks, equipment, lines. What was read is in telling.py."""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, LineKind, Zone
from registry.demo import words
from registry.demo.catalogue import Catalogue, american, european
from registry.demo.clients import PREMISES, Premises, Story
from registry.demo.factories import (
    ClientFactory,
    CoilFactory,
    ItemFactory,
    LineFactory,
    LoudspeakerFactory,
    PlaceFactory,
    PlacementFactory,
    RackFactory,
    SiteFactory,
    SpaceFactory,
    ZoneFactory,
)
from registry.demo.telling import tell
from registry.equipment.filling import occupy_units
from registry.equipment.models import MakeModel, Place
from sites.models import Client, Rack, Site, Units, User, YesNoUnknown

# Loudspeakers of 8 Ω by string; every one of these is at or above the 4 Ω that the channel allows.
SAFE = ((1,), (1, 1), (2,), (2, 2))
TOO_MANY = (1, 1, 1, 1)
WARRANTY = timedelta(days=2 * 365)


@dataclass(frozen=True, slots=True)
class Build:
    """One site on its way: what is known of it, its number among the others, and its own dice."""

    premises: Premises
    number: int
    catalogue: Catalogue
    installed_on: date
    dice: random.Random
    site: Site


def build_clients(*, by: User, today: date) -> list[Site]:
    """Build every site of `PREMISES` as of `today`, with verdicts, baselines and readings; the same each time."""
    catalogues = {False: european(), True: american()}
    sites = []
    for number, premises in enumerate(PREMISES, start=1):
        site = _site(premises, number)
        # A fixed seed for each site: adding one leaves the others as they are.
        dice = random.Random(f"evenkeel {premises.code}")  # noqa: S311 (no secret is made of it)
        installed_on = today - timedelta(weeks=premises.age_weeks, days=1)
        build = Build(premises, number, catalogues[premises.us], installed_on, dice, site)
        _equip(build)
        refresh_verdicts(Line.objects.filter(site=site))
        tell(premises, site=site, by=by, today=today, dice=dice)
        sites.append(site)
    return sites


def _site(premises: Premises, number: int) -> Site:
    return SiteFactory.create(
        client=_client(premises, number),
        code=premises.code,
        name=premises.name,
        address=f"{number} {words.STREETS[number % len(words.STREETS)]}, Exampleford",
        time_zone="America/Chicago" if premises.us else "Europe/London",
        units=Units.US if premises.us else Units.METRIC,
        access_notes="Ask for the rack key at the counter.",
        voice_alarm=YesNoUnknown.YES if premises.life_safety_zone else YesNoUnknown.NO,
    )


def _client(premises: Premises, number: int) -> Client:
    known = Client.objects.filter(name=premises.client).first()
    return known or ClientFactory.create(
        name=premises.client,
        contact=premises.contact,
        email=f"{premises.code}@example.com",
        phone=f"555-01{number:02d}",
    )


def _equip(build: Build) -> None:
    premises, site = build.premises, build.site
    volts, amperes = (120.0, 15.0) if premises.us else (230.0, 16.0)
    cupboard = SpaceFactory.create(site=site, name="Rack cupboard", area_m2=3.0, use="rack")
    rack = RackFactory.create(site=site, name="Rack A", space=cupboard, circuit_v=volts, circuit_a=amperes)
    _fill(build, rack, "UPS 1", build.catalogue.ups, 1)
    _fill(build, rack, "Switch 1", build.catalogue.switch, 11)
    channels = []
    for pair in range((len(premises.zones) + 1) // 2):
        amplifier = _fill(build, rack, f"Amplifier {pair + 1}", build.catalogue.amplifier, 4 + 2 * pair)
        channels += [(amplifier, "1"), (amplifier, "2")]
    occupy_units([rack])
    labels = (f"LS-{n:02d}" for n in range(1, 100))
    for number, (name, channel) in enumerate(zip(premises.zones, channels, strict=False), start=1):
        _line(build, _zone(build, name), channel, labels, number=number)


def _fill(build: Build, rack: Rack, name: str, model: MakeModel, unit: int) -> Place:
    site, host = build.site, 10 + unit
    networked = not name.startswith("UPS")
    place = PlaceFactory.create(
        site=site,
        name=name,
        rack=rack,
        position_u=unit,
        ip=f"192.0.2.{host}" if networked else None,
        hostname=f"{site.code}-{name.lower().replace(' ', '-')}" if networked else "",
        switch="Switch 1" if name.startswith("Amplifier") else "",
        port=str(unit // 2 - 1) if name.startswith("Amplifier") else "",
    )
    item = ItemFactory.create(
        site=site,
        make_model=model,
        tag=f"{site.code[:2].upper()}-{host:04d}",
        serial=f"{model.make.name[-1]}{build.installed_on:%y}{build.number:02d}{host:02d}",
        mac=f"02:00:5e:20:{build.number:02x}:{host:02x}" if networked else "",
        warranty_until=build.installed_on + WARRANTY,
    )
    PlacementFactory.create(place=place, item=item, installed_on=build.installed_on)
    return place


def _zone(build: Build, name: str) -> Zone:
    dice = build.dice
    space = SpaceFactory.create(site=build.site, name=name, area_m2=float(dice.randrange(20, 160, 5)))
    spot = f"P1 {dice.choice(words.SPOTS)}"
    return ZoneFactory.create(site=build.site, name=name, space=space, source="Stream 1", spot=spot, tolerance_db=3.0)


def _line(build: Build, zone: Zone, channel: tuple[Place, str], labels: Iterator[str], *, number: int) -> None:
    site, dice = build.site, build.dice
    line = LineFactory.create(
        site=site,
        name=f"L{number} {zone.name}",
        amplifier=channel[0],
        channel=channel[1],
        kind=LineKind.V70 if build.premises.us else LineKind.LOW,
        life_safety=YesNoUnknown.YES if zone.name == build.premises.life_safety_zone else YesNoUnknown.NO,
    )
    too_much = number == 1 and build.premises.story == Story.OVERLOADED
    strings, tap_w, cable = _american(dice) if build.premises.us else _european(dice, too_much=too_much)
    for string, length in enumerate(strings, start=1):
        for order in range(1, length + 1):
            unit = LoudspeakerFactory.create(
                site=site, label=next(labels), make_model=build.catalogue.loudspeaker, zone=zone
            )
            metres = float(dice.randrange(8, 24) if order == 1 else dice.randrange(4, 8))
            wiring = {"string": str(string), "order": order, "tap_w": tap_w, "cable": cable, "cable_m": metres}
            CoilFactory.create(line=line, loudspeaker=unit, **wiring)


def _american(dice: random.Random) -> tuple[tuple[int, ...], float | None, str]:
    """One daisy chain on a 70.7 V line: loudspeakers by string, tap, cable."""
    return (dice.randrange(3, 6),), dice.choice((5.0, 10.0)), "18 AWG"


def _european(dice: random.Random, *, too_much: bool) -> tuple[tuple[int, ...], float | None, str]:
    """Low impedance: loudspeakers by string, no tap, cable."""
    return TOO_MANY if too_much else dice.choice(SAFE), None, "1.5 mm2"
