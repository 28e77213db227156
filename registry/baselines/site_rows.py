"""The rows that a baseline is made of, read once: to freeze them, to compare them, and to judge them."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from registry.audio.loads import with_wiring
from registry.audio.models import Line, Zone
from registry.baselines.queries import with_newest_reading
from registry.equipment.models import Place
from registry.equipment.queries import SettingNow, settings_now, with_items
from sites.models import Site


class SiteRows(NamedTuple):
    """Places (`with_items`) and their settings by id, zones (`with_newest_reading`), and lines (`with_wiring`)."""

    places: Sequence[Place]
    settings: Mapping[int, Mapping[str, SettingNow]]
    zones: Sequence[Zone]
    lines: Sequence[Line]


def rows_of(site: Site) -> SiteRows:
    """Return what a site holds now, each by name. Seven queries."""
    places = list(with_items(site.places.select_related("rack").order_by("name")))
    zones = list(with_newest_reading(site.zones.order_by("name")))
    return SiteRows(places, settings_now(places), zones, list(with_wiring(site.lines.order_by("name"))))
