"""What freezing would turn into the agreed state although nobody left it so: drift, and what was only found."""

from collections.abc import Iterable, Mapping
from typing import Any

from registry.audio.models import Drift, Zone
from registry.baselines.drift import drifts_of
from registry.baselines.models import Baseline
from registry.baselines.queries import newest_baselines, newest_readings
from registry.baselines.snapshot import Content, gaps
from registry.equipment.models import Place, State
from registry.equipment.queries import SettingNow, settings_now
from sites.models import Site


def exceptions_of(site: Site, content: Content) -> list[str]:
    """Return what a baseline of this content would be missing, then what is not as it was agreed or left."""
    return [*gaps(content), *not_as_agreed(site)]


def not_as_agreed(site: Site) -> list[str]:
    """Return one sentence for each zone and place that would be frozen as it drifted or was found.

    Zones first, by name. A constant number of queries.
    """
    baseline = newest_baselines([site.pk]).get(site.pk)
    zones = list(Zone.objects.filter(site=site).order_by("name"))
    drifting = _drifting(zones, baseline) if baseline else ()
    return [*drifting, *_never_left(zones), *(_found_otherwise(site, baseline) if baseline else ())]


DRIFTED = {Drift.OUT: "out of tolerance", Drift.UNDECIDED: "undecided"}


def _drifting(zones: list[Zone], baseline: Baseline) -> Iterable[str]:
    drifts = drifts_of(zones, {baseline.site_id: baseline})
    for zone in zones:
        drift = drifts[zone.pk]
        if drift.verdict in DRIFTED:
            change = "" if drift.drift_db is None else f" ({drift.drift_db:+.1f} dB)".replace("-", "−")
            is_drifted = f"Zone {zone.name} is {DRIFTED[drift.verdict]} against baseline {baseline.number}{change}"
            yield f"{is_drifted}: freezing makes that the agreed level."


def _never_left(zones: list[Zone]) -> Iterable[str]:
    readings = newest_readings(zones)
    for zone in zones:
        reading = readings.get(zone.pk)
        if reading and reading.state == State.AS_FOUND:
            yield f"Zone {zone.name} was last read as found, not as left: nobody has set it to this level."


def _found_otherwise(site: Site, baseline: Baseline) -> Iterable[str]:
    places = list(Place.objects.filter(site=site).order_by("name"))
    now = settings_now(places)
    for place in places:
        frozen = baseline.content["places"].get(place.name, {}).get("settings", {})
        differing = list(_differing(now.get(place.pk, {}), frozen))
        if differing:
            told = "; ".join(differing)
            yield f"{place.name} was found, not left, with {told} in baseline {baseline.number}: freezing agrees to it."


def _differing(now: Mapping[str, SettingNow], frozen: Mapping[str, Any]) -> Iterable[str]:
    for key, setting in sorted(now.items()):
        then = " ".join(frozen[key]).rstrip() if key in frozen else None
        if setting.record.state == State.AS_FOUND and setting.shown != then:
            yield f"{key} {setting.shown or 'empty'} instead of {then or 'nothing known'}"
