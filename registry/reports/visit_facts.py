"""The rows of a visit that its report is made of, as they were when it was signed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final, NamedTuple

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from registry.baselines.models import Baseline
from registry.engineering.wording import figure
from registry.equipment.models import Place, Placement
from registry.planning.models import LineMeasurement
from registry.reports.plain_words import without_addresses
from registry.reports.wording import day
from registry.visits.due import due_after
from registry.visits.measured import ZoneAtVisit, baseline_at, measured_at, zones_at
from registry.visits.models import Addendum, Finding, FollowUp, ServiceCall, TaskKind, Visit, VisitPhoto, VisitTask
from registry.visits.queries import parts_of, restores_during
from sites.models import User

PLANNED: Final = ("follow_up", "due_on", "done")


class Planned(NamedTuple):
    """What was planned and done about a finding at a time."""

    word: str
    follow_up: str
    due_on: date | None
    done: str


@dataclass(frozen=True)
class VisitFacts:
    """What a report is made of; nothing internal is in it."""

    visit: Visit
    hosts: tuple[str, ...]
    baseline: Baseline | None
    zones: Sequence[ZoneAtVisit]
    tasks: Sequence[VisitTask]
    findings: Sequence[Finding]
    as_signed: dict[int, Planned]
    dealt_with: Sequence[str]
    photos: Sequence[VisitPhoto]
    impedances: dict[int, str]
    restored: Sequence[int]
    equipment: Sequence[str]
    next_visit: str
    people: Sequence[User]
    addenda: Sequence[Addendum]
    call: ServiceCall | None

    def plain(self, text: str) -> str:
        """Return a text for the owner."""
        return without_addresses(text, self.hosts)

    def is_measured(self, task: VisitTask) -> bool:
        """Whether a level or an impedance was recorded for a task."""
        if task.kind == TaskKind.LEVELS:
            return any(zone.last and zone.zone.pk == task.zone_id for zone in self.zones)
        return task.kind == TaskKind.IMPEDANCE and task.line_id in self.impedances

    def day(self, at: datetime) -> str:
        """Return the day that the site's calendar showed."""
        return day(at.astimezone(self.visit.site.zone_info).date())


def visit_facts(visit: Visit) -> VisitFacts:
    """Return the rows of a visit. A constant number of queries, one more per corrected reading."""
    history = list(Visit.history.filter(site_id=visit.site_id).order_by("history_date", "history_id"))
    sealed, measured = _sealed(visit, history), measured_at(visit)
    baseline = baseline_at(visit)
    tasks = list(visit.tasks.select_related("place", "rack", "line", "zone", "changed_by"))
    told = list(_findings(visit, sealed))
    findings = [each for each in told if each.visit_id == visit.pk]
    photos = list(photos_shown(visit))
    parts = list(parts_of(visit))
    return VisitFacts(
        visit=visit,
        hosts=tuple(Place.objects.filter(site=visit.site_id).exclude(hostname="").values_list("hostname", flat=True)),
        baseline=baseline,
        zones=list(zones_at(measured.levels, baseline).values()),
        tasks=tasks,
        findings=findings,
        as_signed={each.pk: _as_signed(each) for each in findings},
        dealt_with=[each.done for each in reversed(told) if each.visit_id != visit.pk],
        photos=photos,
        impedances={line: _impedance(row) for line, row in measured.impedances.items()},
        restored=[each.baseline.number for each in restores_during(visit) if each.signed_at],
        equipment=[*(str(part) for part in parts), *_placements(visit)],
        next_visit=_next_visit(visit, sealed, history),
        people=_people(visit, tasks, [*parts, *measured.levels, *measured.impedances.values()], findings, photos),
        addenda=list(visit.addenda.select_related("written_by")),
        call=getattr(visit, "call", None),
    )


def photos_shown(visit: Visit) -> QuerySet[VisitPhoto]:
    """Return the photos that are in the report: none of an internal finding."""
    shown = Q(finding__isnull=True) | Q(finding__internal=False)
    return visit.photos.filter(shown).select_related("taken_by")


def _sealed(visit: Visit, history: Iterable[Any]) -> datetime:
    """When its closing was received: a phone may say an earlier time."""
    if visit.closed_at is None:
        return timezone.now()
    closed = (row.history_date for row in history if row.id == visit.pk and row.closed_at is not None)
    return next(closed, visit.closed_at)


def _findings(visit: Visit, sealed: datetime) -> QuerySet[Any]:
    """Return the findings of a visit, as planned when it was signed, and those of other visits that it dealt with."""
    rows = Finding.objects.filter(Q(visit=visit) | Q(closed_visit=visit), internal=False)
    history = Finding.history.filter(id=OuterRef("pk"), history_date__lte=sealed)
    then = history.order_by("-history_date", "-history_id")
    signed = {f"signed_{name}": Subquery(then.values(name)[:1]) for name in PLANNED}
    return rows.annotate(**signed).select_related("place", "line", "zone", "found_by").order_by("found_at", "pk")


def _as_signed(finding: Any) -> Planned:
    then = "" if finding.signed_follow_up is None else "signed_"
    word, due_on, done = (getattr(finding, f"{then}{name}") for name in PLANNED)
    return Planned(word, FollowUp(word).label, due_on, done)


def _impedance(row: LineMeasurement) -> str:
    return "open line, no continuity" if row.impedance_ohm is None else f"measured {figure(row.impedance_ohm)} Ω"


def _placements(visit: Visit) -> list[str]:
    if visit.begun_at is None:
        return []
    first, last = (
        at.astimezone(visit.site.zone_info).date() for at in (visit.begun_at, visit.closed_at or timezone.now())
    )
    rows = Placement.objects.filter(place__site=visit.site_id).select_related("place", "item__make_model__make")
    changed = rows.filter(Q(installed_on__range=(first, last)) | Q(removed_on__range=(first, last))).order_by("pk")
    return [_placed(row, first) for row in changed]


def _placed(row: Placement, first: date) -> str:
    into = row.installed_on is not None and row.installed_on >= first
    return f"{row.place}: {row.item.make_model} {'fitted' if into else 'taken out'}"


def _next_visit(visit: Visit, sealed: datetime, history: Iterable[Any]) -> str:
    after = visit.closed_at or visit.begun_at or visit.starts_at
    others = [row for row in history if row.id != visit.pk]
    last = {row.id: row for row in others if row.history_date <= sealed}
    ahead = [row for row in last.values() if row.starts_at > after and not (row.begun_at or row.called_off_because)]
    if not ahead:
        due = due_after(visit, sealed, {row.id: row for row in others}.values())
        return f"due {day(due)} by its plan, not scheduled yet" if due else "not scheduled yet"
    first = min(ahead, key=lambda row: row.starts_at)
    return f"{day(first.starts_at.astimezone(visit.site.zone_info).date())}: {first.title}"


def _people(
    visit: Visit,
    tasks: Sequence[VisitTask],
    recorded: Sequence[Any],
    findings: Sequence[Finding],
    photos: Sequence[VisitPhoto],
) -> list[User]:
    """Everybody who recorded something, in the order of what they did."""
    found = [visit.begun_by, *(task.changed_by for task in tasks), *(row.recorded_by for row in recorded)]
    found += [*(each.found_by for each in findings), *(each.taken_by for each in photos), visit.closed_by]
    return list({user.pk: user for user in found if user is not None}.values())
