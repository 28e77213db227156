"""Columns of a zone's readings: on the page, and in the export."""

from collections.abc import Callable
from datetime import datetime

from django.urls import reverse

from registry.baselines.models import Reading
from registry.web.lists import Column
from registry.web.templatetags.evenkeel import day


def units_of(reading: Reading) -> str:
    """Return the system of units of the reading's site."""
    return reading.zone.site.units


def at_site(reading: Reading) -> datetime:
    """Return when a reading was taken, in the site's time zone."""
    return reading.taken_at.astimezone(reading.zone.site.zone_info)


def clock(reading: Reading) -> str:
    """Return when a reading was taken, as the clock on the site's wall showed it."""
    there = at_site(reading)
    return f"{day(there)} {there:%H:%M}"


def read_with(reading: Reading) -> str:
    """Return spot, meter and track in one cell."""
    meter = reading.meter or "meter not known"
    kind = reading.get_meter_class_display().lower() or "class not known"
    track = reading.track or "track not known"
    return f"{meter} ({kind}), {track}{f', at {reading.spot}' if reading.spot else ''}"


def remark_of(reading: Reading) -> str:
    """Return what became of a reading, or what it corrects."""
    newer = reading.corrected_by()
    if newer is not None:
        return f"Does not count: corrected to {newer.level_db:g} dB"
    if reading.replaces is not None:
        return f"Corrects a reading of {reading.replaces.level_db:g} dB"
    return "During a restore" if reading.restore_id else ""


def number(heading: str, unit: str, value: Callable[[Reading], float | None]) -> Column:
    """Return a column of a quantity."""
    return Column(heading=heading, value=value, unit=unit, units=units_of)


STATE = Column(heading="State", value=lambda reading: reading.get_state_display(), sort=("state", "taken_at"))
LEVEL = Column(
    heading="Level", value=lambda reading: reading.level_db, unit="dB(A)", sort=("level_db",), units=units_of
)
BACKGROUND = number("Background", "dB(A)", lambda reading: reading.background_db)
DIAL = number("Dial", "%", lambda reading: reading.dial)
CAP = number("Cap", "%", lambda reading: reading.cap)
BY = Column(heading="By", value=lambda reading: reading.recorded_by and str(reading.recorded_by))
REMARK = Column(heading="Remark", value=remark_of, blank="none")
CORRECT = Column(
    heading="Wrong?",
    value=lambda reading: "" if reading.corrected_by() else "Correct it",
    link=lambda reading: "" if reading.corrected_by() else reverse("reading-correct", args=[reading.pk]),
    blank="done",
)


def reading_columns(*, exported: bool, may_write: bool) -> tuple[Column, ...]:
    """Return the columns for one reader: the export has every fact in a column of its own."""
    if exported:
        return (
            Column(heading="Read at", value=at_site, sort=("taken_at",)),
            STATE,
            LEVEL,
            BACKGROUND,
            DIAL,
            CAP,
            *_more(),
            BY,
            REMARK,
        )
    when = Column(heading="Read at", value=clock, sort=("taken_at",))
    common = (when, STATE, LEVEL, BACKGROUND, DIAL, CAP, Column(heading="Read with", value=read_with), BY, REMARK)
    return (*common, CORRECT) if may_write else common


def _more() -> tuple[Column, ...]:
    return (
        number("Drive", "V", lambda reading: reading.drive_v),
        Column(heading="Spot", value=lambda reading: reading.spot),
        Column(heading="Meter", value=lambda reading: reading.meter),
        Column(heading="Class", value=lambda reading: reading.meter_class),
        Column(heading="Track", value=lambda reading: reading.track),
    )
