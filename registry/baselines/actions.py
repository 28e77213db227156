"""Writes of readings and baselines. Restores are in restoring.py."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from registry.audio.models import Zone
from registry.baselines.drift import refresh_drift
from registry.baselines.models import Baseline, Reading
from registry.baselines.not_as_agreed import exceptions_of
from registry.baselines.queries import newest_baselines
from registry.baselines.site_rows import rows_of
from registry.baselines.snapshot import content_of
from sites.models import Site, User
from sites.put import Batch, Key, put_facts

Rows = Mapping[Key, Mapping[str, Any]]


@transaction.atomic
def record_readings(batch: Batch, rows: Rows) -> dict[Key, Reading]:
    """Record readings by (zone id, state, time). The same one again changes nothing; another value is refused."""
    known = Reading.objects.filter(zone_id__in={key[0] for key in rows}, taken_at__in={key[2] for key in rows})
    existing: dict[Key, Reading] = {}
    # A corrected reading and its correction share a key: the one that says what the row says is the one that is known.
    for reading in known.order_by("pk"):
        key = (reading.zone_id, reading.state, reading.taken_at)
        if key not in existing or existing[key].level_db != rows.get(key, {}).get("level_db"):
            existing[key] = reading
    by = {"recorded_by_id": batch.by and batch.by.pk}
    written = put_facts(batch, Reading, {key: {**values, **by} for key, values in rows.items()}, existing)
    refresh_drift(Zone.objects.filter(pk__in={key[0] for key in rows}))
    return written


@transaction.atomic
def correct_reading(*, by: User, reading: Reading, values: Mapping[str, Any]) -> Reading:
    """Record what a reading should have been. The wrong one stays readable and no longer counts.

    Raises ValueError when it was corrected already: correct the correction.
    """
    if reading.corrected_by():
        raise ValueError("this reading was corrected already: correct the newer one")
    kept = {field: getattr(reading, field) for field in CORRECTABLE}
    correction = Reading.objects.create(
        zone=reading.zone,
        state=reading.state,
        restore=reading.restore,
        taken_at=reading.taken_at,
        replaces=reading,
        recorded_by=by,
        **(kept | dict(values)),
    )
    refresh_drift(Zone.objects.filter(pk=reading.zone_id))
    return correction


CORRECTABLE = ("dial", "cap", "level_db", "background_db", "drive_v", "spot", "meter", "meter_class", "track")


@transaction.atomic
def freeze_baseline(
    *,
    by: User,
    site: Site,
    reason: str,
    with_exceptions: bool = False,
    number: int | None = None,
    at: datetime | None = None,
) -> Baseline:
    """Freeze the site's present state as its next baseline; `at` dates one that is brought in from older papers.

    `number` is the one that was promised; None doesn't ask.
    Raises ValueError when another number is next; when something is missing or not as agreed and `with_exceptions` is
    false, naming it; when no reason is given; or when `at` lies in the future.
    """
    now = timezone.now()
    if at is not None and at > now:
        raise ValueError(f"a baseline can't be frozen in the future, got {at.isoformat()}")
    if not reason.strip():
        raise ValueError("say why this baseline is frozen: the next tech will want to know")
    # The lock on the site's row keeps two people from taking the same number.
    site = Site.objects.select_for_update().get(pk=site.pk)
    last, rows = newest_baselines([site.pk]).get(site.pk), rows_of(site)
    next_number, content = _next_number(last, number), content_of(rows)
    exceptions = exceptions_of(rows, content, last)
    if exceptions and not with_exceptions:
        raise ValueError("something is missing or not as agreed: " + " ".join(exceptions))
    kept = {"reason": reason.strip(), "author": by, "frozen_at": at or now}
    baseline = Baseline.objects.create(site=site, number=next_number, content=content, exceptions=exceptions, **kept)
    refresh_drift(Zone.objects.filter(site=site))
    return baseline


def _next_number(last: Baseline | None, promised: int | None) -> int:
    number = last.number + 1 if last else 1
    if promised is None or promised == number:
        return number
    if last is None or number < promised:
        raise ValueError(f"the next baseline of this site is {number}, not {promised}")
    raise ValueError(f"baseline {last.number} was frozen meanwhile by {last.author}: look at it, then freeze {number}")
