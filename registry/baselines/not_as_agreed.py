"""What freezing would turn into the agreed state although nobody left it so: drift, and what was only found."""

from collections.abc import Iterable, Mapping
from typing import Any

from registry.audio.models import Drift
from registry.baselines.drift import drift_of
from registry.baselines.models import Baseline
from registry.baselines.queries import newest_reading_of
from registry.baselines.site_rows import SiteRows
from registry.baselines.snapshot import Content, gaps
from registry.equipment.models import State
from registry.equipment.queries import SettingNow


def exceptions_of(rows: SiteRows, content: Content, baseline: Baseline | None) -> list[str]:
    """Return what a baseline of these rows, with this content, would be missing, then what is not as it was agreed.

    `baseline` is the newest one.
    """
    return [*gaps(content), *not_as_agreed(rows, baseline)]


def not_as_agreed(rows: SiteRows, baseline: Baseline | None) -> list[str]:
    """Return one sentence for each zone and place that would be frozen as it drifted or was found.

    Zones first, by name.
    """
    drifting = _drifting(rows, baseline) if baseline else ()
    return [*drifting, *_never_left(rows), *(_found_otherwise(rows, baseline) if baseline else ())]


DRIFTED = {Drift.OUT: "out of tolerance", Drift.UNDECIDED: "undecided"}


def _drifting(rows: SiteRows, baseline: Baseline) -> Iterable[str]:
    for zone in rows.zones:
        drift = drift_of(zone, baseline, newest_reading_of(zone))
        if drift.verdict in DRIFTED:
            change = "" if drift.drift_db is None else f" ({drift.drift_db:+.1f} dB)".replace("-", "−")
            is_drifted = f"Zone {zone.name} is {DRIFTED[drift.verdict]} against baseline {baseline.number}{change}"
            yield f"{is_drifted}: freezing makes that the agreed level."


def _never_left(rows: SiteRows) -> Iterable[str]:
    for zone in rows.zones:
        reading = newest_reading_of(zone)
        if reading and reading.state == State.AS_FOUND:
            yield f"Zone {zone.name} was last read as found, not as left: nobody has set it to this level."


def _found_otherwise(rows: SiteRows, baseline: Baseline) -> Iterable[str]:
    for place in rows.places:
        frozen = baseline.content["places"].get(place.name, {}).get("settings", {})
        differing = list(_differing(rows.settings.get(place.pk, {}), frozen))
        if differing:
            told = "; ".join(differing)
            yield f"{place.name} was found, not left, with {told} in baseline {baseline.number}: freezing agrees to it."


def _differing(now: Mapping[str, SettingNow], frozen: Mapping[str, Any]) -> Iterable[str]:
    for key, setting in sorted(now.items()):
        then = " ".join(frozen[key]).rstrip() if key in frozen else None
        if setting.record.state == State.AS_FOUND and setting.shown != then:
            yield f"{key} {setting.shown or 'empty'} instead of {then or 'nothing known'}"
