"""What a site's page shows, fetched with a constant number of queries."""

from typing import Any, NamedTuple

from django.urls import reverse

from registry.audio.models import Zone
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.queries import newest_baselines, readings_visible_to, restores_visible_to
from registry.baselines.strips import strips_of
from registry.drawings.level_strip import LevelStrip
from registry.drawings.rack_front import draw_rack_front
from registry.equipment.models import Place
from registry.equipment.racks import front_of, with_mounted
from registry.planning.commissioning_queries import open_commissioning
from registry.planning.last_measured import not_in_order
from registry.planning.queries import accepted_plans
from registry.planning.units import reach_of
from registry.web.documents.documents_page import short_lists
from registry.web.network.network_page import newest_sweep
from registry.web.sites.sentences import findings_sentence, lines_sentence, measured_sentences, zones_sentence
from registry.web.visit_plans.at_site import visits_at_site
from registry.web.visits.beside import visits_beside
from sites.models import Rack, Site, User
from sites.queries import racks_visible_to


class ZoneStrip(NamedTuple):
    """A zone and its level strip."""

    zone: Zone
    strip: LevelStrip


class DrawnRack(NamedTuple):
    """A rack and its front."""

    rack: Rack
    drawing: str


def site_page(user: User, site: Site) -> dict[str, Any]:
    """Return the context of a site's page."""
    zones = list(zones_visible_to(user).filter(site=site))
    lines = list(lines_visible_to(user).filter(site=site))
    baselines = newest_baselines([site.pk])
    strips = strips_of(zones, baselines)
    beside = visits_beside(user, site)
    return {
        "zones": [ZoneStrip(zone, strips[zone.pk]) for zone in zones],
        "lines": lines,
        "baseline": baselines.get(site.pk),
        "restore": restores_visible_to(user).filter(site=site, signed_at__isnull=True).first(),
        "commissioning": open_commissioning(user, site),
        "accepted_plan": accepted_plans([site.pk]).get(site.pk),
        "reach": reach_of(site, zones),
        "last_reading": readings_visible_to(user).filter(zone__site=site).order_by("-taken_at", "-pk").first(),
        "racks": [_drawn(rack) for rack in with_mounted(racks_visible_to(user).filter(site=site))],
        "spaces": list(site.spaces.all()),
        "network": newest_sweep(user, site),
        "kept": short_lists(user, site),
        **visits_at_site(user, site),
        "zones_sentence": zones_sentence(zones),
        "lines_sentence": lines_sentence(lines),
        "measured_sentences": measured_sentences(not_in_order(lines).values()),
        "findings_sentence": findings_sentence(beside["open_findings"]),
        **beside,
    }


def _drawn(rack: Rack) -> DrawnRack:
    return DrawnRack(rack, draw_rack_front(front_of(rack, href=place_page), ident=f"rack-{rack.pk}"))


def place_page(place: Place) -> str:
    """Return the address of a place's page."""
    return reverse("place", args=[place.pk])
