"""What an owner's report says of visits, calls, findings and zones: rows of these sites in plain words."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Final

from django.db.models import Q
from django.utils import timezone

from registry.audio.models import Drift, Zone
from registry.baselines.drift import drift_of
from registry.baselines.queries import newest_reading_of, with_newest_reading
from registry.baselines.strips import strip_of
from registry.reports.owners_figures import CallCause, OpenFinding, VisitCounts, ZoneState
from registry.reports.owners_rows import OwnersRows
from registry.reports.plain_words import without_addresses
from registry.visits.due import Standing, State, standings
from registry.visits.models import (
    Cause,
    CausedBy,
    Mechanism,
    Outcome,
    ServiceCall,
    Severity,
    VisitPlan,
)
from sites.models import Client

SEVERITIES: Final = {
    Severity.HAZARDOUS: "Can hurt someone",
    Severity.DOWN: "Does not work",
    Severity.DEGRADED: "Works, but not well",
    Severity.COSMETIC: "Looks only",
}
AS_AGREED: Final = "as agreed"
NOT_AS_AGREED: Final = "not as agreed"
TOO_CLOSE: Final = "too close to tell"
NOT_MEASURED: Final = "not measured"
NOTHING_AGREED: Final = "no level agreed"
ZONE_STATES: Final = {
    Drift.WITHIN: AS_AGREED,
    Drift.OUT: NOT_AS_AGREED,
    Drift.UNDECIDED: TOO_CLOSE,
    Drift.NOT_MEASURED: NOT_MEASURED,
    Drift.NO_BASELINE: NOTHING_AGREED,
}
# The worst first.
ZONE_ORDER: Final = (NOT_AS_AGREED, TOO_CLOSE, NOT_MEASURED, NOTHING_AGREED, AS_AGREED)
# Who did it decides more than what it was: training or a lock is another remedy than a new part.
CAUSED: Final = {
    CausedBy.STAFF: "Changed by staff of the site",
    CausedBy.OTHERS: "Changed by somebody else's work",
    CausedBy.POWER: "After a power cut",
    CausedBy.US: "Our own mistake",
}
MECHANISMS: Final = {
    Mechanism.INSTRUMENT: "Out of adjustment",
    Mechanism.MECHANICAL: "Failed part",
    Mechanism.MATERIAL: "Failed part",
    Mechanism.ELECTRICAL: "Failed part",
    Mechanism.EXTERNAL: "From outside, such as dirt or another system",
    Mechanism.NONE: "No fault found",
}
NOT_CLOSED: Final = "Not closed yet"
CAUSE_NOT_KNOWN: Final = "Cause not known"


def zones_of(rows: OwnersRows) -> list[ZoneState]:
    """Return every zone with its level strip, those that are not as agreed first."""
    words = {str(drift): state for drift, state in ZONE_STATES.items()}
    found = []
    for zone in with_newest_reading(Zone.objects.filter(site__in=rows.sites)):
        strip = strip_of(zone, drift_of(zone, rows.agreed.get(zone.site_id), newest_reading_of(zone)))
        found.append(ZoneState(rows.sites[zone.site_id].name, zone.name, words[strip.word], strip))
    return sorted(found, key=lambda each: (ZONE_ORDER.index(each.state), each.site, each.zone))


def visits_of(client: Client, rows: OwnersRows, since: date, today: date) -> VisitCounts:
    """Return what was done since a day and what is overdue or comes next."""
    begin = _begin(since)
    counts = Counter(visit.outcome for visit in rows.visits if visit.closed_at and visit.closed_at >= begin)
    plans = VisitPlan.objects.filter(Q(site__in=rows.sites) | Q(client=client), ended_on__isnull=True)
    found = standings(plans, rows.sites.values(), today, rows.visits)
    late = [each for each in found if each.state == State.OVERDUE]
    return VisitCounts(
        done=counts[Outcome.DONE],
        with_exceptions=counts[Outcome.EXCEPTIONS],
        not_possible=counts[Outcome.NOT_POSSIBLE],
        overdue=tuple(_standing(each) for each in late),
        under_way=tuple(_standing(each) for each in found if each.is_under_way),
        following=tuple(_standing(each) for each in found if each.day and each not in late and not each.is_under_way),
    )


def _begin(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def _standing(each: Standing) -> tuple[str, str, date]:
    return without_addresses(each.plan.name), each.site.name, each.day or date.max


def calls_of(rows: OwnersRows, since: date) -> tuple[list[CallCause], int]:
    """Return the calls since a day by what they came from, the most frequent first; and how many aren't closed yet."""
    wanted = Q(called_at__gte=_begin(since)) | Q(closed_at__isnull=True)
    calls = list(ServiceCall.objects.filter(wanted, site__in=rows.sites).order_by())
    minutes: dict[str, list[int | None]] = defaultdict(list)
    for call in calls:
        if call.called_at >= _begin(since):
            words = call_cause(call.caused_by, call.mechanism, call.cause) if call.closed_at else NOT_CLOSED
            minutes[words].append(call.minutes)
    causes = [
        CallCause(words, len(found), sum(filter(None, found)), found.count(None))
        for words, found in sorted(minutes.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    ]
    return causes, sum(call.closed_at is None for call in calls)


def call_cause(caused_by: str, mechanism: str, cause: str) -> str:
    """Return what a call came from, in plain words.

    >>> call_cause("staff", "instrument", "operation"), call_cause("nobody", "material", "age")
    ('Changed by staff of the site', 'Worn with age')
    """
    if caused_by in CAUSED:
        return CAUSED[CausedBy(caused_by)]
    if cause == Cause.AGE:
        return "Worn with age"
    return MECHANISMS[Mechanism(mechanism)] if mechanism in MECHANISMS else CAUSE_NOT_KNOWN


def findings_of(rows: OwnersRows) -> list[OpenFinding]:
    """Return what is open and for the owner, hazards first, without addresses and host names."""
    found = [
        OpenFinding(
            site=row.site.name,
            says=plain(row.says, rows.hosts),
            about=without_addresses(str(row.about or "")),
            severity=SEVERITIES[Severity(row.severity)],
            follow_up=row.get_follow_up_display(),
            found_on=row.found_at.astimezone(row.site.zone_info).date(),
            is_hazard=row.severity == Severity.HAZARDOUS,
        )
        for row in rows.findings
        if row.is_open
    ]
    order = list(SEVERITIES.values())
    return sorted(found, key=lambda each: (order.index(each.severity), each.found_on, each.says))


def plain(text: str, hosts: Sequence[str]) -> str:
    """Return a text for an owner; of thousands of host names only those that stand in it are looked at closely."""
    lower = text.lower()
    return without_addresses(text, [host for host in hosts if host.lower() in lower])
