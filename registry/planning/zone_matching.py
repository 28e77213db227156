"""Writes and reads of matching one zone: the wanted level, trials, the proposal, and the one that is accepted."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from registry.audio.models import DEFAULT_POSITION_PERCENT, TOLERANCE_DB, Zone
from registry.baselines.actions import record_readings
from registry.baselines.models import Reading
from registry.equipment.models import State
from registry.planning.answers import answer, offered, unchanged, working
from registry.planning.matching import Heard, Proposal, propose
from registry.planning.models import Commissioning, Trial, ZoneTarget
from registry.planning.sequence import Subject
from sites.models import User
from sites.put import Batch, Key, refuse

Values = Mapping[str, Any]
CARRIED = ("dial", "cap", "level_db", "background_db", "drive_v", "spot", "meter", "meter_class", "track")


@transaction.atomic
def want_level(*, by: User, commissioning: Commissioning, zone: Zone, wanted_db: float) -> ZoneTarget:
    """Record the level that a zone is matched to."""
    commissioning = working(commissioning)
    offered(commissioning, Subject.ZONE, zone.pk, "as left")
    target = ZoneTarget(commissioning=commissioning, zone=zone, wanted_db=wanted_db)
    target.clean_fields(exclude=["changed_by", "changed_at"])
    wanted, _ = ZoneTarget.objects.update_or_create(
        commissioning=commissioning,
        zone=zone,
        defaults={"wanted_db": wanted_db, "changed_by": by, "changed_at": timezone.now()},
    )
    return wanted


@transaction.atomic
def record_trial(*, by: User, commissioning: Commissioning, zone: Zone, values: Values, seen: int = 0) -> Trial:
    """Record a level that was read after setting cap and dial. From now on as found is locked.

    `seen` is how many trials the tech was looking at; 0 before the first one.
    """
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.ZONE, zone.pk, "as left")
    for name, missing in (("dial", values.get("dial") is None), ("cap", not values.get("cap"))):
        if missing:
            raise refuse("trial", (step.key,), name, "Say where it stood: without it nothing can be matched.")
    if commissioning.trials.filter(zone=zone).count() != seen:
        raise ValueError("another reading of this zone was recorded meanwhile: look at it, then save again")
    trial = Trial(
        commissioning=commissioning,
        zone=zone,
        taken_at=timezone.now(),
        recorded_by=by,
        **{"track": commissioning.track_name, "spot": zone.spot} | dict(values),
    )
    trial.clean_fields(exclude=["commissioning", "zone", "recorded_by"])
    trial.save()
    return trial


@transaction.atomic
def accept_trial(*, by: User, commissioning: Commissioning, trial: Trial, seen: str | None = None) -> Reading:
    """Take a zone's newest trial as its level as left.

    Raises ValueError when a newer trial exists, or it is accepted already.
    """
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.ZONE, trial.zone_id, "as left")
    unchanged(commissioning, step, seen)
    newest = commissioning.trials.filter(zone=trial.zone_id).last()
    if newest != trial:
        raise ValueError("only the last reading says how the zone is left: read it again, or accept the last one")
    key: Key = (trial.zone_id, State.AS_LEFT, trial.taken_at)
    row = {name: getattr(trial, name) for name in CARRIED}
    row |= {"zone_id": trial.zone_id, "state": State.AS_LEFT, "taken_at": trial.taken_at}
    reading = record_readings(Batch(by=by), {key: row})[key]
    answer(by=by, commissioning=commissioning, step=step, reading=reading)
    return reading


def heard_so_far(found: Reading | None, trials: Sequence[Trial]) -> list[Heard]:
    """Return what was read of a zone in this run, oldest first, as matching sees it."""
    rows: list[Reading | Trial] = [*([found] if found else []), *trials]
    return [Heard(row.level_db, row.dial, row.cap, row.background_db) for row in rows if row.level_db is not None]


def proposal_for(zone: Zone, heard: Sequence[Heard], wanted_db: float | None) -> Proposal | None:
    """Return what to set next; None while nothing was read or no level is wanted."""
    if not heard or wanted_db is None:
        return None
    return propose(heard, wanted_db, zone.default_position or DEFAULT_POSITION_PERCENT)


def off_target(target: ZoneTarget, reading: Reading | Trial) -> tuple[float, bool] | None:
    """Return how far a reading is from the wanted level, and whether that is within the zone's tolerance.

    None where the background was too near to know.
    """
    if reading.level_db is None or target.wanted_db is None:
        return None
    alone_db = Heard(reading.level_db, reading.dial, reading.cap, reading.background_db).alone_db
    if alone_db is None:
        return None
    distance_db = alone_db - target.wanted_db
    return distance_db, abs(distance_db) <= (target.zone.tolerance_db or TOLERANCE_DB)
