"""The visit report for the owner: plain data in plain words, for the page and for the PDF.

Of a closed visit it says what held when it was signed: what becomes of a finding later is not in it.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from registry.reports.plain_words import person
from registry.reports.visit_facts import VisitFacts, visit_facts
from registry.reports.wording import day
from registry.visits.measured import ZoneAtVisit
from registry.visits.models import Finding, FollowUp, Severity, TaskKind, TaskResult, Visit, VisitKind, VisitTask

# Their words name accounts, addresses and versions: the owner reads that it was done.
WORDLESS: Final = frozenset({TaskKind.NETWORK, TaskKind.ACCOUNTS, TaskKind.FIRMWARE, TaskKind.CONFIGURATION})
WHEN: Final = {
    "Now": (FollowUp.IMMEDIATE,),
    "On the next working day": (FollowUp.NEXT_DAY,),
    "At the next visit": (FollowUp.NEXT_VISIT,),
    "To be planned": (FollowUp.PLANNED,),
}
VERDICT_OF: Final = {TaskResult.DONE: "", TaskResult.WRONG: "not in order", "": "not judged"}
VERDICTS: Final = {
    "within": "yes",
    "out": "no",
    "undecided": "undecided",
    "not measured": "not measured",
    "no baseline": "no target",
}


@dataclass(frozen=True, slots=True)
class ReportPhoto:
    """A photo by its number, with what it shows."""

    pk: int
    caption: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class ReportZone:
    """A zone: its target, as found, as left, and whether that is within tolerance."""

    zone: str
    target: str
    found: str
    left: str
    within: str


@dataclass(frozen=True, slots=True)
class ReportFinding:
    """A finding that is for the owner."""

    says: str
    severity: str
    about: str
    follow_up: str
    photos: tuple[ReportPhoto, ...]


@dataclass(frozen=True, slots=True)
class ReportAddendum:
    """What was added after signing."""

    says: str
    by: str
    on: str


@dataclass(frozen=True, slots=True)
class VisitReport:
    """All that stands in a report, in its order."""

    title: str
    site: str
    client: str
    on: str
    is_signed: bool
    safety: tuple[str, ...]
    came: str
    result: str
    outcome: str
    baseline: str
    zones: tuple[ReportZone, ...]
    did: tuple[str, ...]
    findings: tuple[ReportFinding, ...]
    photos: tuple[ReportPhoto, ...]
    could_not: tuple[str, ...]
    recommended: tuple[tuple[str, tuple[str, ...]], ...]
    equipment: tuple[str, ...]
    next_visit: str
    time: str
    people: str
    signature: str
    accepted_by: str
    addenda: tuple[ReportAddendum, ...]
    dated: datetime | None


def visit_report(visit: Visit) -> VisitReport:
    """Return the report of a visit; its site, client and plan must be loaded. A constant number of queries."""
    return report_of(visit_facts(visit))


def report_of(facts: VisitFacts) -> VisitReport:
    """Return the report that these facts make."""
    visit, plain = facts.visit, facts.plain
    return VisitReport(
        title=plain(visit.title),
        site=visit.site.name,
        client=visit.site.client.name,
        on=facts.day(visit.begun_at or visit.closed_at or visit.starts_at),
        is_signed=visit.closed_at is not None,
        safety=tuple(plain(each.says) for each in facts.findings if each.severity == Severity.HAZARDOUS),
        came=plain(_came(visit, facts)),
        result=plain(visit.result) or "This visit is not closed yet.",
        outcome=visit.get_outcome_display(),
        baseline=_baseline(facts),
        zones=tuple(_zone(zone) for zone in facts.zones if zone.last),
        did=tuple(_did(facts)),
        findings=tuple(_finding(each, facts) for each in facts.findings),
        photos=tuple(_photos(facts, None)),
        could_not=tuple(_could_not(visit, facts)),
        recommended=tuple(_recommended(facts)),
        equipment=tuple(plain(each) for each in facts.equipment),
        next_visit=facts.next_visit,
        time=_time(visit, facts),
        people=", ".join(dict.fromkeys(person(user) for user in facts.people)),
        signature=visit.signature,
        accepted_by=visit.accepted_by,
        addenda=tuple(_addenda(facts)),
        dated=visit.closed_at,
    )


def _addenda(facts: VisitFacts) -> list[ReportAddendum]:
    rows = facts.addenda
    return [ReportAddendum(facts.plain(row.says), person(row.written_by), facts.day(row.written_at)) for row in rows]


def _came(visit: Visit, facts: VisitFacts) -> str:
    if facts.call is not None:
        return f"You called on {facts.day(facts.call.called_at)}: {facts.call.says}"
    if visit.kind == VisitKind.PLANNED and visit.plan is not None:
        return f"{visit.title}, as planned in {visit.plan.name}."
    return f"{visit.title}."


def _baseline(facts: VisitFacts) -> str:
    if facts.baseline is None:
        return "No baseline was agreed before this visit, so levels have no target yet."
    return f"The targets are those of baseline {facts.baseline.number}, agreed {facts.day(facts.baseline.frozen_at)}."


def _zone(zone: ZoneAtVisit) -> ReportZone:
    last = zone.last
    assert last is not None
    target, tolerance = last.drift.baseline_db, zone.zone.tolerance_db
    return ReportZone(
        zone=zone.zone.name,
        target="not agreed"
        if target is None
        else f"{target:.1f} ± {tolerance:g} dB"
        if tolerance
        else f"{target:.1f} dB",
        found=_level(zone, "found"),
        left=_level(zone, "left"),
        within=VERDICTS[last.drift.verdict],
    )


def _level(zone: ZoneAtVisit, name: str) -> str:
    at = getattr(zone, name)
    if at is None:
        return "not measured" if name == "found" else "as found"
    corrected = " (corrected)" if at.reading.replaces_id else ""
    return f"{at.reading.level_db:.1f} dB{corrected}"


def _did(facts: VisitFacts) -> list[str]:
    by_kind: dict[str, list[str]] = {}
    for task in facts.tasks:
        if task.result in {TaskResult.DONE, TaskResult.WRONG} or (not task.result and facts.is_measured(task)):
            # Levels have a table of their own.
            by_kind.setdefault(task.get_kind_display(), []).append(_task(task, facts))
    said = [f"{kind}: {'; '.join(filter(None, told)) or 'done'}." for kind, told in by_kind.items()]
    said += [f"Restored to baseline {number}." for number in facts.restored]
    return said + [f"{facts.plain(done).rstrip('.')}." for done in facts.dealt_with]


def _task(task: VisitTask, facts: VisitFacts) -> str:
    if task.kind == TaskKind.LEVELS:
        return ""
    about = task.note if task.kind == TaskKind.OTHER else str(task.about or "")
    words = [f"found {task.found}" if task.found else "", f"left {task.left}" if task.left else ""]
    if task.kind in WORDLESS:
        words = []
    words.append(VERDICT_OF[task.result])
    if task.kind == TaskKind.IMPEDANCE and (told := facts.impedances.get(task.line_id or 0)):
        words.insert(0, told)
    detail = facts.plain(", ".join(filter(None, words)))
    return f"{about} ({detail})" if about and detail else about or detail


def _finding(finding: Finding, facts: VisitFacts) -> ReportFinding:
    planned = facts.as_signed[finding.pk]
    due = f", by {day(planned.due_on)}" if planned.due_on else ""
    follow_up = f"done: {facts.plain(planned.done)}" if planned.done else f"{planned.follow_up}{due}"
    photos = tuple(_photos(facts, finding.pk))
    about = str(finding.about or "")
    return ReportFinding(facts.plain(finding.says), finding.get_severity_display(), about, follow_up, photos)


def _photos(facts: VisitFacts, finding: int | None) -> list[ReportPhoto]:
    told = {each.pk for each in facts.findings}
    rows = [each for each in facts.photos if (each.finding_id if each.finding_id in told else None) == finding]
    return [ReportPhoto(each.pk, facts.plain(each.caption), each.width, each.height) for each in rows]


def _could_not(visit: Visit, facts: VisitFacts) -> list[str]:
    said = [f"{facts.plain(visit.why_not).rstrip('.')}."] if visit.why_not else []
    for task in facts.tasks:
        if task.result == TaskResult.NOT_DONE:
            said.append(f"{task.name}: {facts.plain(task.why_not).rstrip('.')}.")
        elif not task.result and not facts.is_measured(task):
            said.append(f"{task.name}: not done.")
    return said


def _recommended(facts: VisitFacts) -> list[tuple[str, tuple[str, ...]]]:
    still = [each for each in facts.findings if not facts.as_signed[each.pk].done]
    found = []
    for when, words in WHEN.items():
        says = tuple(facts.plain(each.says) for each in still if facts.as_signed[each.pk].word in words)
        if says:
            found.append((when, says))
    return found


def _time(visit: Visit, facts: VisitFacts) -> str:
    worked = f"{visit.minutes} minutes of work" if visit.minutes is not None else "minutes not noted"
    if visit.begun_at is None or visit.closed_at is None:
        return worked
    begun, closed = (each.astimezone(visit.site.zone_info) for each in (visit.begun_at, visit.closed_at))
    to = f"{closed:%H:%M}" if begun.date() == closed.date() else f"{day(closed.date())}, {closed:%H:%M}"
    return f"{worked}, {facts.day(begun)} from {begun:%H:%M} to {to}"
