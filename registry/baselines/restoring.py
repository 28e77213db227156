"""Writes of a restore: start it, record what was found and set, measure, sign.

`at` is when it happened, where a phone sends it later.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.actions import record_readings
from registry.baselines.models import Baseline, Reading, Restore, RestoreStep
from registry.baselines.restore_sheet import Flagged, Group, Stage, Step, restore_sheet
from registry.equipment.actions import record_settings
from registry.equipment.models import Place, Placement, State
from sites.changes import FieldChange
from sites.models import User, YesNoUnknown
from sites.put import Batch, Key

CLOCKS_DIFFER: Final = timedelta(minutes=5)


class AnsweredMeanwhileError(ValueError):
    """Raised when somebody else answered a step otherwise since the writer looked; nothing was written.

    `changes` says what stands there now, `version` names it.
    """

    def __init__(self, step: RestoreStep) -> None:
        word = "set" if step.done else f"could not set: {step.could_not}" if step.could_not else "open"
        says = word + (f", found {step.found}" if step.found else "")
        by, self.version = str(step.changed_by), step.version
        self.changes = [FieldChange("key", "Answer", "", says, by, step.changed_at)]
        super().__init__(f"{by} answered this step meanwhile ({says}): look, then save again")


def sheet_of(baseline: Baseline) -> list[Group]:
    """Return the restore sheet of a baseline; lines flagged as life safety since then are left out too."""
    columns = ("name", "amplifier__name", "coils__loudspeaker__zone__name", "life_safety")
    rows = list(Line.objects.filter(site=baseline.site_id).order_by("pk").values_list(*columns))
    flagged = [row for row in rows if row[3] != YesNoUnknown.NO]
    lines, places, zones = (frozenset(row[column] for row in flagged if row[column]) for column in range(3))
    drives = frozenset((row[1], row[2]) for row in rows if row[2])
    return restore_sheet(baseline.content, flagged_now=Flagged(lines, places, zones, drives))


def start_restore(*, by: User, baseline: Baseline) -> Restore:
    """Open a restore of the baseline's site, or return the one that is open: two techs share one sheet."""
    try:
        with transaction.atomic():
            return Restore.objects.create(
                site=baseline.site, baseline=baseline, started_by=by, started_at=timezone.now()
            )
    except IntegrityError:
        return Restore.objects.get(site=baseline.site, signed_at__isnull=True)


@transaction.atomic
def record_step(
    *,
    by: User,
    restore: Restore,
    key: str,
    found: str = "",
    done: bool = False,
    could_not: str = "",
    seen: str | None = None,
    at: datetime | None = None,
) -> RestoreStep:
    """Record what was found at a step, and that it was set as in the baseline or why it could not be.

    `seen` is the version that the tech was looking at; None doesn't ask.
    Raises ValueError when the restore is signed, the step is not on its sheet, the answer contradicts itself, or
    somebody else has answered otherwise since.
    """
    restore = _open(restore)
    _step_of(restore, key)
    if done and could_not.strip():
        raise ValueError("either the step is done or it could not be done: clear one of the two")
    answer = {"found": found.strip(), "done": done, "could_not": could_not.strip()}
    _refuse_crossing(RestoreStep.objects.filter(restore=restore, key=key).first(), answer, seen)
    step, _ = RestoreStep.objects.update_or_create(
        restore=restore, key=key, defaults=answer | {"changed_by": by, "changed_at": _happened(restore, at)}
    )
    return step


def _step_of(restore: Restore, key: str) -> Step:
    for step in (step for group in sheet_of(restore.baseline) for step in group.steps):
        if step.key == key:
            return step
    raise ValueError(f"{key!r} is not a step of this restore sheet")


@transaction.atomic
def record_found_right(
    *,
    by: User,
    restore: Restore,
    key: str,
    found: str = "",
    seen: str | None = None,
    at: datetime | None = None,
) -> RestoreStep:
    """Record that a step was found as in the baseline, so that it is done.

    Raises ValueError when `found` says something else, and as `record_step` does.
    """
    restore = _open(restore)
    right = _step_of(restore, key).shown
    if found.strip() not in {"", right}:
        raise ValueError(f"found {found.strip()} is not {right}: clear it, or say that it was set")
    return record_step(by=by, restore=restore, key=key, found=right, done=True, seen=seen, at=at)


@transaction.atomic
def record_all_found_right(
    *, by: User, restore: Restore, subject: str, name: str, at: datetime | None = None
) -> list[RestoreStep]:
    """Record that all open settings of a place or zone were found as in the baseline, and return their steps.

    What somebody answered stays, and so does what was found at a step that is still open; a level is measured instead.
    Raises ValueError when the restore is signed or the place or zone is not on its sheet.
    """
    restore = _open(restore)
    groups = {(group.subject, group.name): group for group in sheet_of(restore.baseline) if not group.excluded}
    if (subject, name) not in groups:
        raise ValueError(f"{subject} {name} is not on this restore sheet")
    told = {step.key for step in restore.steps.all() if step.done or step.could_not or step.found}
    steps = [step for step in groups[subject, name].steps if step.stage != Stage.LEVEL and step.key not in told]
    answer = {"done": True, "changed_by": by, "changed_at": _happened(restore, at)}
    return [
        RestoreStep.objects.update_or_create(
            restore=restore, key=step.key, defaults=answer | {"found": step.shown, "could_not": ""}
        )[0]
        for step in steps
    ]


def _refuse_crossing(step: RestoreStep | None, answer: Mapping[str, Any], seen: str | None) -> None:
    """Two techs share one sheet: neither overwrites what the other wrote and they have not seen."""
    if seen is None or step is None or seen == step.version:
        return
    if any(getattr(step, name) != value for name, value in answer.items()):
        raise AnsweredMeanwhileError(step)


@transaction.atomic
def record_restore_reading(
    *,
    by: User,
    restore: Restore,
    zone: Zone,
    state: State,
    values: Mapping[str, Any],
    at: datetime | None = None,
) -> Reading:
    """Record a level read during a restore. As found is locked once an as-left level of the zone is entered.

    Raises ValueError when it is locked, the restore is signed, the zone is excluded or of another site, or `at` lies
    before the restore.
    """
    restore = _open(restore)
    names = {group.name for group in sheet_of(restore.baseline) if group.subject == "zone" and not group.excluded}
    if zone.site_id != restore.site_id or zone.name not in names:
        raise ValueError(f"zone {zone.name} is not on this restore sheet")
    if state == State.AS_FOUND and restore.readings.filter(zone=zone, state=State.AS_LEFT).exists():
        raise ValueError("as found is locked: an as-left level was already entered for this zone")
    key: Key = (zone.pk, state, _happened(restore, at))
    row = dict(values) | {"zone_id": zone.pk, "state": state, "taken_at": key[2], "restore_id": restore.pk}
    return record_readings(Batch(by=by), {key: row})[key]


def open_steps(restore: Restore) -> list[str]:
    """Return what on the sheet has no answer yet, in working order."""
    answered = {step.key for step in restore.steps.all() if step.done or step.could_not}
    measured = set(restore.readings.filter(state=State.AS_LEFT).values_list("zone__name", flat=True))
    return [
        f"{step.name}: {step.setting}"
        for group in sheet_of(restore.baseline)
        for step in group.steps
        if step.key not in answered and not (step.stage == Stage.LEVEL and step.name in measured)
    ]


@transaction.atomic
def sign_restore(
    *, by: User, restore: Restore, signature: str, remarks: str = "", with_open_steps: bool = False
) -> Restore:
    """Close the restore: what was found and what was set become as-found and as-left configuration records.

    Raises ValueError when it is signed already, unsigned by name, or has open steps and that was not accepted.
    """
    restore = _open(restore)
    if not signature.strip():
        raise ValueError("sign with your name")
    still_open = open_steps(restore)
    if still_open and not with_open_steps:
        raise ValueError("open steps: " + "; ".join(still_open))
    _record_found_and_left(by, restore)
    restore.signed_at, restore.signed_by = timezone.now(), by
    restore.signature, restore.remarks = signature.strip(), remarks.strip()
    restore.save()
    return restore


def _open(restore: Restore) -> Restore:
    restore = Restore.objects.select_for_update().select_related("baseline", "site").get(pk=restore.pk)
    if not restore.is_open:
        raise ValueError("this restore is signed and closed: start a new one")
    return restore


def _happened(restore: Restore, at: datetime | None) -> datetime:
    """Return when something happened; ValueError when the phone's clock has it before the restore was started."""
    if at is not None and at < restore.started_at - CLOCKS_DIFFER:
        raise ValueError(f"{at.isoformat()} is before this restore was started: set the phone's clock, give the time")
    return at or timezone.now()


def _record_found_and_left(by: User, restore: Restore) -> None:
    found: dict[str, dict[str, tuple[str, str]]] = {}
    left: dict[str, dict[str, tuple[str, str]]] = {}
    answers = {step.key: step for step in restore.steps.all()}
    for step in (step for group in sheet_of(restore.baseline) if group.subject == "place" for step in group.steps):
        answer = answers.get(step.key)
        if answer and answer.found:
            as_is = answer.found == step.shown
            found.setdefault(step.name, {})[step.setting] = (step.value, step.unit) if as_is else (answer.found, "")
        if answer and answer.done:
            left.setdefault(step.name, {})[step.setting] = (step.value, step.unit)
        elif answer and answer.could_not and answer.found:
            left.setdefault(step.name, {})[step.setting] = (answer.found, "")
    places = {
        place.name: place for place in Place.objects.filter(site=restore.site, name__in=found.keys() | left.keys())
    }
    rows = _rows(found, places, State.AS_FOUND, restore) | _rows(left, places, State.AS_LEFT, restore)
    record_settings(Batch(by=by), rows)


def _rows(
    settings: Mapping[str, Mapping[str, tuple[str, str]]], places: Mapping[str, Place], state: State, restore: Restore
) -> dict[Key, dict[str, Any]]:
    items = _items(places.values())
    # Found before left, whatever the clock's resolution.
    taken_at = restore.started_at if state == State.AS_FOUND else timezone.now()
    return {
        (places[name].pk, state, taken_at): {"item_id": items.get(places[name].pk), "settings": values}
        for name, values in settings.items()
        if name in places
    }


def _items(places: Iterable[Place]) -> dict[int, int]:
    return dict(Placement.objects.filter(place__in=list(places), current=True).values_list("place_id", "item_id"))
