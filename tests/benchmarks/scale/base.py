"""The small set: the demo's richest site, and 10 clients, 30 sites, 600 zones, 3,000 items, 10,000 readings in all."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.utils import timezone

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Coil, Line, LineKind, Loudspeaker, Zone
from registry.baselines.actions import freeze_baseline
from registry.baselines.drift import refresh_drift
from registry.baselines.models import MeterClass, Reading
from registry.demo.garden_centre import load_garden_centre
from registry.demo.network import add_network
from registry.demo.people import make_owner, renew_people
from registry.demo.project import run_project
from registry.demo.visit_plans import plan_visits
from registry.demo.visit_work import work_at_visits
from registry.equipment.models import ConfigurationRecord, Item, Kind, MakeModel, Place, Placement, Setting, State
from registry.search.indexing import reindex
from registry.visits.models import Finding, FollowUp, PlanTask, Severity, TaskKind, VisitPlan
from sites.history import create_with_history
from sites.models import Client, Rack, Site, Space, User, YesNoUnknown

CLIENTS, SITES, ZONES, ITEMS, READINGS = 10, 30, 600, 3_000, 10_000
AMPLIFIERS = 10  # of a site's items; each drives two lines of two loudspeakers
WARRANTY = date(2026, 1, 1)
START = datetime(2024, 3, 4, 8, 0, tzinfo=UTC)


def write_base() -> None:
    """Write the small set, the same one each time but for the passwords and the day on which it is written."""
    renew_people()
    by, today = User.objects.get(username="tech"), timezone.localdate()
    garden = _garden_centre(by, today)
    catalogue = _catalogue()
    number = CLIENTS - Client.objects.count()
    clients = create_with_history([Client(name=f"Client {n:02d}") for n in range(number)], by=by)
    wanted = SITES - Site.objects.count()
    sites = [_site(clients[n % number], n) for n in range(wanted)]
    create_with_history(sites, by=by)
    for n, site in enumerate(sites):
        left = wanted - n
        zones = (ZONES - Zone.objects.count()) // left
        items = (ITEMS - Item.objects.count()) // left
        _fill(site, by, catalogue, zones=zones, items=items, readings=(READINGS - Reading.objects.count()) // left)
    refresh_drift(Zone.objects.exclude(site=garden))
    reindex()


def _garden_centre(by: User, today: date) -> Site:
    """Load the site that has something of every kind."""
    site = load_garden_centre(by=by, today=today)
    run_project(site, by=by)
    work_at_visits(site, by=by)
    add_network(site, by=by, today=today)
    plan_visits(site, by=by, today=today)
    make_owner(site.client)
    return site


def _catalogue() -> dict[str, MakeModel]:
    models = MakeModel.objects.select_related("make").order_by("pk")
    return {kind: next(model for model in models if model.kind == kind) for kind in (Kind.AMPLIFIER, Kind.LOUDSPEAKER)}


def _site(client: Client, number: int) -> Site:
    code, zone = f"s{number:03d}", "Europe/London"
    return Site(client=client, code=code, name=f"Site {number:03d}", time_zone=zone, voice_alarm=YesNoUnknown.NO)


def _fill(site: Site, by: User, catalogue: dict[str, MakeModel], *, zones: int, items: int, readings: int) -> None:
    space, *_ = create_with_history([Space(site=site, name=f"Room {n}", ceiling_m=2.8) for n in range(4)], by=by)
    racks = create_with_history([Rack(site=site, name=f"Rack {n}", space=space, height_u=42) for n in range(2)], by=by)
    places = _places(site, by, racks, catalogue[Kind.AMPLIFIER], items)
    made = create_with_history([_zone(site, space, n) for n in range(zones)], by=by)
    _lines(site, by, places[:AMPLIFIERS], made, catalogue[Kind.LOUDSPEAKER])
    refresh_verdicts(Line.objects.filter(site=site))
    _settings(places[:AMPLIFIERS], by)
    before, after = (readings * 9 // 10, readings - readings * 9 // 10)
    Reading.objects.bulk_create(_readings(made, by, before, 0))
    freeze_baseline(by=by, site=site, reason="Commissioning", with_exceptions=True, at=START + timedelta(days=600))
    Reading.objects.bulk_create(_readings(made, by, after, before))
    _visits(site, by)


def _places(site: Site, by: User, racks: list[Rack], model: MakeModel, items: int) -> list[Place]:
    rows = [
        Place(site=site, name=f"Place {n:03d}", rack=racks[n % 2], hostname=f"{site.code}-{n}") for n in range(items)
    ]
    places = create_with_history(rows, by=by)
    things = create_with_history([_item(site, model, n) for n in range(items)], by=by)
    installed = date(2024, 3, 4)
    pairs = zip(places, things, strict=True)
    create_with_history([Placement(place=place, item=item, installed_on=installed) for place, item in pairs], by=by)
    return places


def _item(site: Site, model: MakeModel, number: int) -> Item:
    names = {"tag": f"{site.code}-{number:04d}", "serial": f"{site.code}{number:05d}"}
    mac = f"02:00:5e:{site.pk % 256:02x}:{number // 256:02x}:{number % 256:02x}"
    ends = WARRANTY + timedelta(days=number * 7)
    return Item(site=site, make=model.make, make_model=model, mac=mac, warranty_until=ends, **names)


def _zone(site: Site, space: Space, number: int) -> Zone:
    return Zone(site=site, name=f"Zone {number:02d}", space=space, source="Stream 1", spot=f"P{number}")


def _lines(site: Site, by: User, amplifiers: list[Place], zones: list[Zone], model: MakeModel) -> None:
    known = {"life_safety": YesNoUnknown.NO, "kind": LineKind.LOW}
    lines = [
        Line(site=site, name=f"L{n:02d}", amplifier=amplifiers[n // 2], channel=str(n % 2 + 1), **known)
        for n in range(len(amplifiers) * 2)
    ]
    create_with_history(lines, by=by)
    # Every tenth line carries four loudspeakers of 8 Ω in parallel: too much for its channel.
    feeds = [(line, zones[n % len(zones)]) for n, line in enumerate(lines) for _ in range(4 if n % 10 == 0 else 2)]
    units = [
        Loudspeaker(site=site, label=f"LS-{n:03d}", make_model=model, zone=zone) for n, (_, zone) in enumerate(feeds)
    ]
    create_with_history(units, by=by)
    cable = {"cable": "1.5 mm2", "cable_m": 12.0}
    coils = [
        Coil(loudspeaker=unit, line=line, string=str(n), order=1, **cable)
        for n, (unit, (line, _)) in enumerate(zip(units, feeds, strict=True))
    ]
    create_with_history(coils, by=by)


def _settings(places: list[Place], by: User) -> None:
    records = ConfigurationRecord.objects.bulk_create(
        [ConfigurationRecord(place=place, state=State.AS_LEFT, taken_at=START, recorded_by=by) for place in places]
    )
    values = {"volume": "40", "group": "A", "power-cut test": "comes back as it was"}
    Setting.objects.bulk_create(
        [Setting(record=record, key=key, value=value) for record in records for key, value in values.items()]
    )


def _readings(zones: list[Zone], by: User, number: int, first: int) -> Iterator[Reading]:
    how: dict[str, Any] = {"dial": 50.0, "cap": 60.0, "meter": "Meter A", "meter_class": MeterClass.CLASS_2}
    for n in range(first, first + number):
        zone, turn = zones[n % len(zones)], n // len(zones)
        # One zone in nine is 5 dB too loud since the baseline; the others stay within half a decibel.
        loud = 5.0 if n % 9 == 0 and first else 0.0
        level = 62.0 + loud + (turn * 7 + n % len(zones)) % 5 / 10
        at = START + timedelta(days=turn * 40 + (30 if first else 0), minutes=n % len(zones))
        yield Reading(
            zone=zone, state=State.AS_LEFT, taken_at=at, level_db=level, spot=zone.spot, track="Track 1",
            recorded_by=by, **how,
        )  # fmt: skip


def _visits(site: Site, by: User) -> None:
    begins = timezone.localdate() + timedelta(days=site.pk % 120 - 10)
    plan = VisitPlan(
        site=site, name="Half-yearly maintenance", rule="FREQ=MONTHLY;INTERVAL=6", starts_on=begins, starts_at=time(9)
    )
    create_with_history([plan], by=by)
    create_with_history([PlanTask(plan=plan, kind=kind) for kind in (TaskKind.LEVELS, TaskKind.FILTERS)], by=by)
    found = {"found_by": by, "found_at": START, "follow_up": FollowUp.NEXT_VISIT, "severity": Severity.DEGRADED}
    create_with_history([Finding(site=site, says=f"Loudspeaker {n} rattles", **found) for n in range(2)], by=by)
