"""A site goes out as the same survey folder that it could have come from."""

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q

from registry.audio.models import Coil, Loudspeaker, Zone
from registry.baselines.models import Reading
from registry.equipment.models import Face, Item, LoudspeakerSpec, MakeModel, Place, Placement, Rating, Setting
from registry.exchange.cells import show
from registry.exchange.survey_format import (
    CLIENTS,
    EQUIPMENT,
    FILES,
    LEVELS,
    LINES,
    LOUDSPEAKERS,
    MODEL_FACTS,
    MODELS,
    RACK_LIMITS,
    RACKS,
    RATING_FACTS,
    RATINGS,
    READING_FACTS,
    SETTINGS,
    SITES,
    SPACES,
    SPEC_FACTS,
    ZONES,
    SurveyFile,
)
from sites.models import Rack, Site, Space

Values = dict[str, Any]


def export_survey(site: Site) -> dict[str, bytes]:
    """Return the survey files of a site by name. Equal sites give equal bytes."""
    models = _models_of(site)
    rows = {
        CLIENTS.name: [{"client": site.client.name} | _picked(site.client, ("contact", "email", "phone"))],
        SITES.name: [_site(site)],
        SPACES.name: _spaces(site),
        RACKS.name: _racks(site),
        MODELS.name: [_named(model) | _picked(model, ("kind", *MODEL_FACTS)) for model in models],
        RATINGS.name: _ratings(models),
        LOUDSPEAKERS.name: _loudspeakers(models),
        EQUIPMENT.name: _equipment(site),
        ZONES.name: _zones(site),
        LINES.name: _lines(site),
        SETTINGS.name: _settings(site),
        LEVELS.name: _levels(site),
    }
    return {survey_file.name: _written(survey_file, rows[survey_file.name]) for survey_file in FILES}


def _written(survey_file: SurveyFile, rows: Iterable[Values]) -> bytes:
    # Sorted here and not by the database, whose collation differs from one to the next.
    rows = sorted(rows, key=lambda row: [(row.get(name) is not None, row.get(name)) for name in survey_file.order])
    columns = [column.name for column in survey_file.columns]
    if not any(row.get("face", Face.FRONT) != Face.FRONT for row in rows):
        # Only a site with something mounted at the back needs this column of ours.
        columns = [name for name in columns if name != "face"]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([show(row.get(name)) for name in columns] for row in rows)
    return text.getvalue().encode()


def _picked(thing: Any, names: Iterable[str]) -> Values:
    return {name: getattr(thing, name) for name in names}


def _site(site: Site) -> Values:
    facts = ("name", "address", "time_zone", "units", "access_notes", "voice_alarm")
    return {"site": site.code, "client": site.client.name} | _picked(site, facts)


def _models_of(site: Site) -> list[MakeModel]:
    items = Item.objects.filter(site=site).values("make_model")
    loudspeakers = Loudspeaker.objects.filter(site=site).values("make_model")
    used = MakeModel.objects.filter(Q(pk__in=items) | Q(pk__in=loudspeakers))
    return list(used.select_related("make", "loudspeaker").prefetch_related("ratings"))


def _named(model: MakeModel) -> Values:
    return {"make": model.make.name, "model": model.name}


def _ratings(models: Iterable[MakeModel]) -> Iterator[Values]:
    for model in models:
        ratings: Iterable[Rating] = model.ratings.all()
        yield from (_named(model) | _picked(rating, RATING_FACTS) for rating in ratings)


def _loudspeakers(models: Iterable[MakeModel]) -> Iterator[Values]:
    for model in models:
        spec: LoudspeakerSpec | None = getattr(model, "loudspeaker", None)
        if spec:
            taps = {"taps_w": " ".join(show(float(tap)) for tap in spec.taps_w)}
            yield _named(model) | _picked(spec, (*SPEC_FACTS, "insertion_loss_db")) | taps


def _spaces(site: Site) -> Iterator[Values]:
    for space in Space.objects.filter(site=site):
        facts = ("ceiling_m", "listener_height_m", "area_m2", "use", "notes")
        yield {"site": site.code, "space": space.name} | _picked(space, facts)


def _racks(site: Site) -> Iterator[Values]:
    for rack in Rack.objects.filter(site=site).select_related("space"):
        names = {"site": site.code, "rack": rack.name, "space": rack.space and rack.space.name}
        yield names | _picked(rack, ("height_u", *RACK_LIMITS))


def _equipment(site: Site) -> Iterator[Values]:
    """Every place with the item that fills it, or else the one that was there last."""
    newest: dict[int, Placement] = {}
    placements = Placement.objects.filter(place__site=site).select_related("item__make_model__make")
    for placement in placements.order_by("current", "installed_on", "pk"):
        newest[placement.place_id] = placement
    for place in Place.objects.filter(site=site).select_related("rack"):
        if place.pk in newest:
            yield {"site": site.code} | _filled(place, newest[place.pk])


def _filled(place: Place, placement: Placement) -> Values:
    item = placement.item
    network = _picked(place, ("position_u", "ip", "hostname", "switch", "port", "face"))
    facts = _picked(item, ("tag", "serial", "mac", "warranty_until", "status"))
    names = {"place": place.name, "rack": place.rack and place.rack.name, "installed_on": placement.installed_on}
    return names | _named(item.make_model) | network | facts


def _zones(site: Site) -> Iterator[Values]:
    for zone in Zone.objects.filter(site=site).select_related("space"):
        names = {"site": site.code, "zone": zone.name, "space": zone.space and zone.space.name}
        yield names | _picked(zone, ("source", "spot", "default_position", "tolerance_db"))


def _lines(site: Site) -> Iterator[Values]:
    coils = Coil.objects.filter(line__site=site).select_related(
        "line__amplifier", "loudspeaker__zone", "loudspeaker__make_model__make"
    )
    for coil in coils:
        line, unit = coil.line, coil.loudspeaker
        names = {"site": site.code, "line": line.name, "amplifier": line.amplifier.name, "zone": unit.zone.name}
        model = _named(unit.make_model) if unit.make_model else {}
        facts = _picked(coil, ("string", "order", "coil", "tap_w", "plus", "minus", "cable", "cable_m"))
        yield names | model | {"loudspeaker": unit.label} | _picked(line, ("channel", "life_safety", "kind")) | facts


def _settings(site: Site) -> Iterator[Values]:
    rows = Setting.objects.filter(record__place__site=site, record__correction__isnull=True).select_related(
        "record__place"
    )
    for setting in rows:
        record = setting.record
        when = {"state": record.state, "taken_at": record.taken_at.astimezone(site.zone_info)}
        yield {"site": site.code, "place": record.place.name} | when | _picked(setting, ("key", "value", "unit"))


def _levels(site: Site) -> Iterator[Values]:
    readings = Reading.objects.filter(zone__site=site, correction__isnull=True).select_related("zone")
    for reading in readings:
        when = {"state": reading.state, "taken_at": reading.taken_at.astimezone(site.zone_info)}
        facts = _picked(reading, ("dial", "cap", "level_db", *READING_FACTS))
        yield {"site": site.code, "zone": reading.zone.name} | when | facts
