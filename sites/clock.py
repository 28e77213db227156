"""Clock times of a site become moments; an hour that summer time skips or repeats is asked about, never guessed."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo


def local_moment(moment: datetime, zone: ZoneInfo) -> datetime:
    """Return a moment in UTC; one without offset is the clock time in `zone`.

    >>> str(local_moment(datetime(2026, 7, 1, 10, 30), ZoneInfo("Europe/London")))
    '2026-07-01 09:30:00+00:00'

    Raises ValueError for a clock time that the zone doesn't have, or has twice.
    """
    if moment.tzinfo is not None:
        return moment.astimezone(UTC)
    first, second = moment.replace(tzinfo=zone, fold=0), moment.replace(tzinfo=zone, fold=1)
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != moment:
        raise ValueError(f"a time that exists in {zone.key}: clocks skip this hour")
    if first.utcoffset() != second.utcoffset():
        raise ValueError(f"an offset, for example {first.isoformat()}: this hour comes twice in {zone.key}")
    return first.astimezone(UTC)
