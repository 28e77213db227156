"""Writes of commissioning: start a run, then record each step at once. Matching and the end have their own modules."""

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from registry.audio.actions import put_zones
from registry.audio.models import Line, Zone
from registry.baselines.actions import record_readings
from registry.baselines.models import Reading
from registry.baselines.snapshot import POWER_CUT_KEY
from registry.equipment.actions import record_settings
from registry.equipment.models import ConfigurationRecord, Place, Placement, State
from registry.planning.answers import answer, offered, unchanged, working
from registry.planning.measuring import measure_line
from registry.planning.models import Commissioning, LineMeasurement, Polarity
from registry.planning.sequence import Subject, key_of
from sites.models import Site, User
from sites.put import Batch, Key, refuse

Values = Mapping[str, Any]


def start_commissioning(*, by: User, site: Site) -> Commissioning:
    """Open a commissioning of a site, or return the one that is open: everybody works in the same one."""
    try:
        with transaction.atomic():
            return Commissioning.objects.create(site=site, started_by=by, started_at=timezone.now())
    except IntegrityError:
        return Commissioning.objects.get(site=site, closed_at__isnull=True)


@transaction.atomic
def set_track(*, by: User, commissioning: Commissioning, values: Values, seen: str | None = None) -> Commissioning:
    """Record which track plays: name, hash of its file, level.

    Raises ValueError when the same name stood for another file before: then levels could not be compared.
    """
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.TRACK, 0, "file and level")
    unchanged(commissioning, step, seen)
    if not values["track_name"].strip():
        raise refuse("track", (step.key,), "track_name", "Name the track.")
    _refuse_another_file(commissioning, values)
    for name in ("track_name", "track_sha256", "track_level_dbfs"):
        setattr(commissioning, name, values[name])
    commissioning.full_clean(exclude=["site", "started_by"])
    commissioning.save()
    answer(by=by, commissioning=commissioning, step=step)
    return commissioning


def _refuse_another_file(commissioning: Commissioning, values: Values) -> None:
    others = Commissioning.objects.filter(site=commissioning.site, track_name=values["track_name"])
    known = others.exclude(pk=commissioning.pk).exclude(track_sha256="").order_by("-started_at").first()
    if known and values["track_sha256"] and known.track_sha256 != values["track_sha256"]:
        says = f"Another file had this name on {known.started_at:%d %b %Y}: give this one a name of its own."
        raise refuse("track", (commissioning.pk,), "track_name", says)


@transaction.atomic
def record_impedance(
    *,
    by: User,
    commissioning: Commissioning,
    line: Line,
    values: Values,
    corrects: bool = False,
    seen: str | None = None,
) -> LineMeasurement:
    """Record the impedance of a line at its terminals, judged against what is computed for it now.

    `corrects`: the one recorded before in this run was typed wrongly; it stays readable and no longer counts.
    """
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.LINE, line.pk, "impedance")
    before = unchanged(commissioning, step, seen)
    replaces = before.measurement if corrects and before else None
    measurement = measure_line(by=by, line=line, values=values, at=timezone.now(), key=step.key, replaces=replaces)
    answer(by=by, commissioning=commissioning, step=step, measurement=measurement)
    return measurement


@transaction.atomic
def record_polarity(
    *, by: User, commissioning: Commissioning, line: Line, polarity: Polarity, note: str = "", seen: str | None = None
) -> LineMeasurement:
    """Record the polarity of a line's loudspeakers; where some are reversed, which ones."""
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.LINE, line.pk, "polarity")
    unchanged(commissioning, step, seen)
    if polarity == Polarity.REVERSED and not note.strip():
        raise refuse("measurement", (step.key,), "polarity_note", "Say which loudspeakers are reversed.")
    measurement = LineMeasurement.objects.create(
        line=line, taken_at=timezone.now(), polarity=polarity, polarity_note=note.strip(), recorded_by=by
    )
    answer(by=by, commissioning=commissioning, step=step, measurement=measurement)
    return measurement


@transaction.atomic
def mark_spot(*, by: User, commissioning: Commissioning, zone: Zone, spot: str, seen: str | None = None) -> Zone:
    """Record where a zone is read, for this and every later reading."""
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.ZONE, zone.pk, "spot")
    unchanged(commissioning, step, seen)
    if not spot.strip():
        raise refuse("zone", (step.key,), "spot", "Say where it is, so that somebody else finds it.")
    key: Key = (zone.site_id, zone.name)
    marked = put_zones(Batch(by=by), {key: {"spot": spot.strip()}})[key]
    answer(by=by, commissioning=commissioning, step=step)
    return marked


@transaction.atomic
def record_as_found(
    *, by: User, commissioning: Commissioning, zone: Zone, values: Values, seen: str | None = None
) -> Reading:
    """Record a zone's level as found, before anything is set.

    Raises ValueError when it is locked: a level was read after a change, or as left is entered.
    """
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.ZONE, zone.pk, "as found")
    unchanged(commissioning, step, seen)
    if as_found_is_locked(commissioning, zone):
        raise ValueError("as found is locked: this zone was already set, or its as-left level entered")
    key: Key = (zone.pk, State.AS_FOUND, timezone.now())
    row = {**values, "zone_id": zone.pk, "state": State.AS_FOUND, "taken_at": key[2], "track": commissioning.track_name}
    reading = record_readings(Batch(by=by), {key: row})[key]
    answer(by=by, commissioning=commissioning, step=step, reading=reading)
    return reading


def as_found_is_locked(commissioning: Commissioning, zone: Zone) -> bool:
    """Whether the zone is no longer as it was found: something was set and read, or as left is entered."""
    left = key_of(Subject.ZONE, zone.pk, "as left")
    return (
        commissioning.trials.filter(zone=zone).exists()
        or commissioning.steps.filter(key=left, reading__isnull=False).exists()
    )


@transaction.atomic
def record_power_cut(
    *, by: User, commissioning: Commissioning, place: Place, passed: bool, says: str, seen: str | None = None
) -> ConfigurationRecord:
    """Record what an amplifier or endpoint did when its plug was pulled and put back."""
    commissioning = working(commissioning)
    step = offered(commissioning, Subject.PLACE, place.pk, "power cut")
    unchanged(commissioning, step, seen)
    if not says.strip():
        raise refuse("setting", (step.key,), "says", "Say what it did: what plays, how loud, after how many seconds.")
    item = Placement.objects.filter(place=place, current=True).values_list("item_id", flat=True).first()
    key: Key = (place.pk, State.AS_LEFT, timezone.now())
    value = f"{'passed' if passed else 'failed'}: {says.strip()}"
    row = {"item_id": item, "settings": {POWER_CUT_KEY: (value, "")}}
    record = record_settings(Batch(by=by), {key: row})[key]
    answer(by=by, commissioning=commissioning, step=step, record=record)
    return record
