"""What an owner's report says of visits, calls, findings and zones: rows of these sites in plain words."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Final

from django.db.models import Q
from django.utils import timezone

from registry.audio.models import Drift, Zone
from registry.baselines.queries import newest_baselines
from registry.baselines.strips import strips_of
from registry.equipment.models import Place
from registry.reports.owners_figures import CallCause, OpenFinding, VisitCounts, ZoneState
from registry.reports.plain_words import without_addresses
from registry.visits.due import Standing, State, standings
from registry.visits.models import (
    Cause,
    CausedBy,
    Finding,
    Mechanism,
    Outcome,
    ServiceCall,
    Severity,
    Visit,
    VisitPlan,
)
from sites.models import Client, Site

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


def zones_of(sites: Sequence[Site]) -> list[ZoneState]:
    """Return every zone with its level strip, those that are not as agreed first. A constant number of queries."""
    names = {site.pk: site.name for site in sites}
    zones = list(Zone.objects.filter(site__in=names))
    strips = strips_of(zones, newest_baselines(names))
    words = {str(drift): state for drift, state in ZONE_STATES.items()}
    found = [ZoneState(names[zone.site_id], zone.name, words[strips[zone.pk].word], strips[zone.pk]) for zone in zones]
    return sorted(found, key=lambda each: (ZONE_ORDER.index(each.state), each.site, each.zone))


def visits_of(client: Client, sites: Sequence[Site], since: date, today: date) -> VisitCounts:
    """Return what was done since a day and what is overdue or comes next. A constant number of queries."""
    pks = [site.pk for site in sites]
    closed = Visit.objects.filter(site__in=pks, closed_at__gte=_begin(since)).values_list("outcome", flat=True)
    counts = Counter(closed)
    plans = VisitPlan.objects.filter(Q(site__in=pks) | Q(client=client), ended_on__isnull=True)
    found = standings(plans.select_related("site", "client"), sites, today)
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


def calls_of(sites: Sequence[Site], since: date) -> list[CallCause]:
    """Return the calls since a day by what they came from, the most frequent first. One query."""
    rows = ServiceCall.objects.filter(site__in=[site.pk for site in sites], called_at__gte=_begin(since))
    calls: Counter[str] = Counter()
    minutes: Counter[str] = Counter()
    unnoted: Counter[str] = Counter()
    for closed, caused_by, mechanism, cause, spent in rows.order_by().values_list(
        "closed_at", "caused_by", "mechanism", "cause", "minutes"
    ):
        words = call_cause(caused_by, mechanism, cause) if closed else NOT_CLOSED
        calls[words] += 1
        minutes[words] += spent or 0
        unnoted[words] += spent is None
    return [
        CallCause(words, number, minutes[words], unnoted[words])
        for words, number in sorted(calls.items(), key=lambda pair: (-pair[1], pair[0]))
    ]


def open_calls_of(sites: Sequence[Site]) -> int:
    """Return how many calls are not closed yet. One query."""
    return ServiceCall.objects.filter(site__in=[site.pk for site in sites], closed_at__isnull=True).count()


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


def findings_of(sites: Sequence[Site]) -> list[OpenFinding]:
    """Return what is open and for the owner, hazards first, without addresses and host names. Two queries."""
    pks = [site.pk for site in sites]
    zones = {site.pk: site.zone_info for site in sites}
    rows = Finding.objects.filter(site__in=pks, closed_at__isnull=True, internal=False)
    hosts = [*Place.objects.filter(site__in=pks).exclude(hostname="").values_list("hostname", flat=True)]
    found = [
        OpenFinding(
            site=row.site.name,
            says=plain(row.says, hosts),
            about=without_addresses(str(row.about or "")),
            severity=SEVERITIES[Severity(row.severity)],
            follow_up=row.get_follow_up_display(),
            found_on=row.found_at.astimezone(zones[row.site_id]).date(),
            is_hazard=row.severity == Severity.HAZARDOUS,
        )
        for row in rows.select_related("site", "place", "line", "zone")
    ]
    order = list(SEVERITIES.values())
    return sorted(found, key=lambda each: (order.index(each.severity), each.found_on, each.says))


def plain(text: str, hosts: Sequence[str]) -> str:
    """Return a text for an owner; of thousands of host names only those that stand in it are looked at closely."""
    lower = text.lower()
    return without_addresses(text, [host for host in hosts if host.lower() in lower])
