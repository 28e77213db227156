"""A reading with its verdict against a baseline's entry, ready to be shown."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from registry.audio.models import Zone
from registry.baselines.drift import ZoneDrift, zone_drift
from registry.baselines.models import Reading
from registry.baselines.strips import strip_of
from registry.drawings.level_strip import LevelStrip
from registry.engineering.exposure import exposure_caution


@dataclass(frozen=True)
class Judged:
    """A reading, how it stands against the baseline, and both drawn."""

    reading: Reading
    drift: ZoneDrift
    strip: LevelStrip

    @property
    def exposure(self) -> str | None:
        """The caution that belongs to a level this high."""
        return exposure_caution(self.reading.level_db)


def judged(zone: Zone, frozen: Mapping[str, Any] | None, reading: Reading | None) -> Judged | None:
    """Judge a reading of a zone against its entry in a baseline's content; without a reading there is nothing."""
    if reading is None:
        return None
    drift = zone_drift(reading, frozen, zone.tolerance_db)
    return Judged(reading, drift, strip_of(zone, drift))
