"""Which calls came back: of the same site and zone within thirty days; and what calls cost, in figures."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median
from typing import Final

from django.db.models import QuerySet, prefetch_related_objects

from registry.visits.models import Cause, CausedBy, ServiceCall

AGAIN_WITHIN: Final = timedelta(days=30)
FIGURES_OF: Final = timedelta(days=365)


def earlier_calls(call: ServiceCall, calls: QuerySet[ServiceCall]) -> list[ServiceCall]:
    """Return the calls of the thirty days before, of the same site and one of the same zones. Two queries."""
    prefetch_related_objects([call], "zones")
    rows = calls.filter(site=call.site_id, called_at__gte=call.called_at - AGAIN_WITHIN, called_at__lte=call.called_at)
    return [each for each in rows.exclude(pk=call.pk).prefetch_related("zones") if same_zone(call, each)]


def same_zone(one: ServiceCall, other: ServiceCall) -> bool:
    """Whether two calls of a site may be about the same zone: one that names none is about all of them."""
    mine, theirs = ({zone.pk for zone in call.zones.all()} for call in (one, other))
    return not mine or not theirs or bool(mine & theirs)


@dataclass(frozen=True, slots=True)
class CallFigures:
    """What the calls of a year cost, and how many need not have been a trip."""

    calls: int
    repeats: int
    by_phone: int
    trips: int
    saved_trips: int
    minutes: float | None
    until_answered: str
    until_restored: str
    by_cause: Sequence[tuple[str, int]]
    by_whom: Sequence[tuple[str, int]]


def call_figures(calls: QuerySet[ServiceCall], *, now: datetime) -> CallFigures:
    """Return the figures of the calls that came in during the year before `now`. Two queries."""
    rows = list(calls.filter(called_at__gt=now - FIGURES_OF).prefetch_related("zones").order_by("called_at", "pk"))
    ended = [call for call in rows if call.closed_at is not None]
    trips = [call for call in ended if call.visit_id is not None]
    minutes = [call.minutes for call in ended if call.minutes is not None]
    return CallFigures(
        calls=len(rows),
        repeats=sum(_came_back(rows, place) for place in range(len(rows))),
        by_phone=len(ended) - len(trips),
        trips=len(trips),
        saved_trips=sum(call.record_would_have_saved == "yes" for call in trips),
        minutes=median(minutes) if minutes else None,
        until_answered=_usual_time((call.called_at, call.answered_at) for call in rows),
        until_restored=_usual_time((call.called_at, call.restored_at) for call in rows),
        by_cause=_counted(Cause(call.cause).label for call in ended),
        by_whom=_counted(CausedBy(call.caused_by).label for call in ended),
    )


def _came_back(rows: Sequence[ServiceCall], place: int) -> bool:
    """Whether a call follows another one, of the same site and zone, within thirty days."""
    call = rows[place]
    before = (each for each in rows[:place] if each.site_id == call.site_id)
    return any(call.called_at - each.called_at <= AGAIN_WITHIN and same_zone(call, each) for each in before)


def _usual_time(pairs: Iterable[tuple[datetime, datetime | None]]) -> str:
    """Return the median time between two moments in words; empty where none is known."""
    taken = [(end - begin) / timedelta(minutes=1) for begin, end in pairs if end is not None]
    if not taken:
        return ""
    minutes = median(taken)
    return f"{minutes:.0f} min" if minutes < 120 else f"{minutes / 60:.1f} h"


def _counted(labels: Iterable[str]) -> list[tuple[str, int]]:
    return Counter(labels).most_common()
