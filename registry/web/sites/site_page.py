"""What a site's page shows, fetched with a constant number of queries."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from django.db.models import F, QuerySet
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.drift import drift_of
from registry.baselines.models import Baseline
from registry.baselines.queries import newest_reading_of, with_newest_baseline, with_newest_reading, with_open_restore
from registry.baselines.strips import strip_of
from registry.drawings.level_strip import LevelStrip
from registry.drawings.rack_front import draw_rack_front
from registry.equipment.models import Place
from registry.equipment.queries import places_visible_to, settings_now, with_items
from registry.equipment.racks import by_rack, front_of
from registry.equipment.site_network import SiteNetwork, items_on_network
from registry.planning.commissioning_queries import with_open_commissioning
from registry.planning.last_measured import with_wrong, wrong_at
from registry.planning.models import LineMeasurement
from registry.planning.queries import with_plan_to_wire
from registry.planning.reach import reach
from registry.planning.units import fed_zones, units_of
from registry.web.documents.documents_page import short_lists
from registry.web.network.network_page import newest_sweep
from registry.web.sites.sentences import findings_sentence, lines_sentence, measured_sentences, zones_sentence
from registry.web.visit_plans.at_site import visits_at_site
from registry.web.visits.beside import open_findings
from sites.models import Rack, Site, User
from sites.queries import racks_visible_to, sites_visible_to


class ZoneStrip(NamedTuple):
    """A zone and its level strip."""

    zone: Zone
    strip: LevelStrip


class DrawnRack(NamedTuple):
    """A rack and its front."""

    rack: Rack
    drawing: str


class LineRows(NamedTuple):
    """The lines of a site, what was not in order at them, and which zone each feeds from which place, by name."""

    lines: list[Line]
    wrong: Iterable[LineMeasurement]
    feeds: list[tuple[str, str]]


def sites_to_show(user: User) -> QuerySet[Any]:
    """Return the sites that `user` may read, each with its newest baseline and what is open there."""
    sites = with_open_restore(with_newest_baseline(sites_visible_to(user)))
    return with_open_commissioning(with_plan_to_wire(sites))


def site_page(user: User, site: Any) -> dict[str, Any]:
    """Return the context of the page of one of the `sites_to_show`."""
    zones = list(with_newest_reading(zones_visible_to(user).filter(site=site)))
    lines, wrong, feeds = _lines(user, site)
    baseline = getattr(site, "newest_baseline", None)
    places = list(with_items(places_visible_to(user).filter(site=site)))
    settings, findings = settings_now(places), open_findings(user, site)
    return {
        "zones": [_zone(zone, baseline) for zone in zones],
        "lines": lines,
        "baseline": baseline,
        "reach": reach(fed_zones(zones, feeds), units_of(places, settings)),
        "last_read_at": max((read.taken_at for zone in zones if (read := newest_reading_of(zone))), default=None),
        "racks": _racks(racks_visible_to(user).filter(site=site), places),
        "spaces": list(site.spaces.all()),
        "network": newest_sweep(user, site, SiteNetwork(items_on_network(site), places, settings)),
        "kept": short_lists(user, site),
        "open_findings": findings,
        **visits_at_site(user, site),
        "zones_sentence": zones_sentence(zones),
        "lines_sentence": lines_sentence(lines),
        "measured_sentences": measured_sentences(wrong),
        "findings_sentence": findings_sentence(findings),
    }


def _lines(user: User, site: Site) -> LineRows:
    """Read a line once for every zone that hears it."""
    lines = with_wrong(lines_visible_to(user).filter(site=site))
    rows = list(lines.annotate(heard_in=F("coils__loudspeaker__zone__name")).distinct())
    feeds = [(row.heard_in, row.amplifier.name) for row in rows if row.heard_in]
    return LineRows(list({row.pk: row for row in rows}.values()), wrong_at(rows).values(), feeds)


def _zone(zone: Zone, baseline: Baseline | None) -> ZoneStrip:
    return ZoneStrip(zone, strip_of(zone, drift_of(zone, baseline, newest_reading_of(zone))))


def _racks(racks: Iterable[Rack], places: Iterable[Place]) -> list[DrawnRack]:
    mounted = by_rack(places)
    fronts = ((rack, front_of(rack, mounted[rack.pk], href=place_page)) for rack in racks)
    return [DrawnRack(rack, draw_rack_front(front, ident=f"rack-{rack.pk}")) for rack, front in fronts]


def place_page(place: Place) -> str:
    """Return the address of a place's page."""
    return reverse("place", args=[place.pk])
