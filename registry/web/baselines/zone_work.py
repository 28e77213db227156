"""The readings of one zone during a restore: as found, as left, and the verdict right after."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from registry.audio.models import Zone
from registry.baselines.judged import Judged, judged
from registry.baselines.models import Reading, Restore
from registry.baselines.restore_sheet import step_key
from registry.engineering.exposure import exposure_caution
from registry.equipment.models import State
from registry.web.baselines.anchors import anchor_of
from registry.web.baselines.forms import RestoreReadingForm

SHARED = ("meter", "meter_class", "track", "spot")


@dataclass(frozen=True)
class ZoneWork:
    """A zone of a restore: what was read so far, and the forms for what comes next."""

    zone: Zone
    found: Judged | None
    left: Judged | None
    found_form: RestoreReadingForm
    left_form: RestoreReadingForm

    @property
    def anchor(self) -> str:
        """Where the zone's section stands on the page; its readings' anchors begin with it."""
        return anchor_of("zone", self.zone.name)

    @property
    def exposure(self) -> str | None:
        """The caution for the level that the zone is to have."""
        drifts = [each.drift for each in (self.left, self.found) if each]
        return next((said for drift in drifts if (said := exposure_caution(drift.level_db))), None)


def readings_by_zone(restore: Restore) -> dict[int, list[Reading]]:
    """Return the readings of a restore that count, newest first, by zone."""
    found: dict[int, list[Reading]] = {}
    for reading in restore.readings.filter(correction__isnull=True).select_related("zone", "recorded_by"):
        found.setdefault(reading.zone_id, []).append(reading)
    return found


def zone_work(
    zone: Zone,
    frozen: Mapping[str, Any],
    readings: Sequence[Reading],
    refused: RestoreReadingForm | None,
    *,
    done: Collection[str],
) -> ZoneWork:
    """Return a zone's readings and forms; a form that was refused stands in its own place.

    As left, dial and cap are those that somebody set in this restore (`done` holds the keys of the steps that were):
    what nobody saw is left empty.
    """
    newest = {state: next((r for r in readings if r.state == state), None) for state in State}
    found, left = newest[State.AS_FOUND], newest[State.AS_LEFT]
    shared = {name: frozen.get(name) or "" for name in SHARED}
    same = {name: getattr(found, name) for name in SHARED} if found else shared
    dials = {name: frozen.get(name) for name in ("dial", "cap") if step_key("zone", zone.name, name) in done}
    return ZoneWork(
        zone=zone,
        found=judged(zone, frozen, found),
        left=judged(zone, frozen, left),
        found_form=_form(zone, State.AS_FOUND, shared, refused),
        left_form=_form(zone, State.AS_LEFT, dials | same, refused),
    )


def _form(
    zone: Zone, state: State, initial: Mapping[str, Any], refused: RestoreReadingForm | None
) -> RestoreReadingForm:
    auto_id = f"zone-{zone.pk}-{state.name.lower().replace('_', '-')}-%s"
    if refused is not None and (refused.data.get("zone"), refused.data.get("state")) == (str(zone.pk), state.value):
        refused.auto_id = auto_id
        return refused
    return RestoreReadingForm(initial={**initial, "zone": zone.pk, "state": state.value}, auto_id=auto_id)
