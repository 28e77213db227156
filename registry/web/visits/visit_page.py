"""What the page of a visit shows, fetched with a constant number of queries."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from registry.audio.models import LineKind
from registry.planning.measuring import Excluded
from registry.planning.models import LineMeasurement
from registry.planning.sequence import WiredLine, hands_off, wired_at
from registry.visits.measured import ZoneAtVisit, baseline_at, measured_at, zones_at
from registry.visits.models import Finding, TaskKind, Visit, VisitTask
from registry.visits.queries import (
    findings_visible_to,
    parts_of,
    records_during,
    restores_during,
    tasks_of,
    visit_photos_visible_to,
)
from registry.visits.task_list import TASKS
from registry.visits.working import excluded_of
from registry.web.cautions import CAUTIONS
from sites.models import User

HIGH = frozenset({LineKind.V25, LineKind.V70, LineKind.V100})
SIGNS = {"done": "pass", "wrong": "warn", "not done": "unknown"}


@dataclass(frozen=True)
class TaskRow:
    """One line of the checklist, with what was measured for it."""

    task: VisitTask
    zone: ZoneAtVisit | None = None
    measurement: LineMeasurement | None = None
    excluded: str = ""

    @property
    def sign(self) -> str:
        """The shape that stands for the result; empty while there is none."""
        return SIGNS.get(self.task.result, "")

    @property
    def name(self) -> str:
        """What the line is about."""
        return str(self.task.about or ("The whole site" if self.task.kind != TaskKind.OTHER else self.task.note))

    @property
    def told(self) -> str:
        """As found and as left in a few words."""
        parts = ((self.task.found, "found"), (self.task.left, "left"))
        said = [f"{word} {text}" for text, word in parts if text]
        return "; ".join(said) or self.task.why_not

    @property
    def can_be_done(self) -> bool:
        """Whether it may be called done: hands off life safety, and a measurement comes before its verdict."""
        measured = (self.zone and self.zone.last) if self.is_level else self.measurement
        return not self.excluded and bool(measured or not (self.is_level or self.is_impedance))

    @property
    def is_level(self) -> bool:
        """Whether a level is read for it."""
        return self.task.kind == TaskKind.LEVELS and self.task.zone_id is not None

    @property
    def is_impedance(self) -> bool:
        """Whether an impedance is measured for it."""
        return self.task.kind == TaskKind.IMPEDANCE and self.task.line_id is not None


@dataclass(frozen=True)
class TaskGroup:
    """The lines of one kind, what passes, and the cautions beside them."""

    kind: TaskKind
    rows: list[TaskRow]
    cautions: list[str]

    @property
    def passes(self) -> str:
        """When it is in order."""
        return TASKS[self.kind].passes

    @property
    def answered(self) -> int:
        """How many have a result."""
        return sum(bool(row.task.result) for row in self.rows)


def task_rows(
    tasks: Iterable[VisitTask],
    zones: dict[int, ZoneAtVisit],
    measured: Mapping[int, LineMeasurement],
    excluded: Excluded,
) -> list[TaskRow]:
    """Return tasks with what was measured for them."""
    return [
        TaskRow(
            task,
            zones.get(task.zone_id or 0) if task.kind == TaskKind.LEVELS else None,
            measured.get(task.line_id or 0) if task.kind == TaskKind.IMPEDANCE else None,
            excluded_of(task, excluded),
        )
        for task in tasks
    ]


def cautions_of(kind: TaskKind, lines: Iterable[WiredLine]) -> list[str]:
    """Return the cautions beside a task; that of high-voltage lines only where there are such lines."""
    can_shock = any(line.kind in HIGH for line in lines)
    return [CAUTIONS[name] for name in TASKS[kind].cautions if name != "line" or can_shock]


def _groups(rows: Sequence[TaskRow], lines: Sequence[WiredLine]) -> list[TaskGroup]:
    by_kind = {kind: [row for row in rows if row.task.kind == kind] for kind in TASKS}
    return [TaskGroup(kind, found, cautions_of(kind, lines)) for kind, found in by_kind.items() if found]


def visit_page(user: User, visit: Visit) -> dict[str, Any]:
    """Return the context of a visit's page."""
    baseline, tasks = baseline_at(visit), list(tasks_of(visit))
    measured, wired = measured_at(visit), wired_at(visit.site)
    levels = [task.zone for task in tasks if task.kind == TaskKind.LEVELS and task.zone]
    zones = zones_at(measured.levels, baseline, levels)
    rows = task_rows(tasks, zones, measured.impedances, hands_off(wired))
    photos = list(visit_photos_visible_to(user).filter(visit=visit))
    found = list(findings_at(user, visit))
    return {
        "baseline": baseline,
        "groups": _groups(rows, wired),
        "zones": [zone for zone in zones.values() if zone.last],
        "findings": found,
        "photos": [photo for photo in photos if photo.finding_id not in {each.pk for each in found}],
        "parts": list(parts_of(visit)),
        "restores": list(restores_during(visit)),
        "records": list(records_during(visit)),
        "addenda": list(visit.addenda.select_related("written_by")),
        "sentence": sentence(visit, tasks, len(found), zones.values()),
        "editable": visit.is_open and visit.begun_at is not None and user.may_write,
        "has_passed": visit.is_open and visit.begun_at is None and _day(visit, visit.starts_at) < _day(visit),
    }


def _day(visit: Visit, at: datetime | None = None) -> date:
    return (at or timezone.now()).astimezone(visit.site.zone_info).date()


def findings_at(user: User, visit: Visit) -> QuerySet[Finding]:
    """Return the findings of a visit that somebody may read, in the order in which they were found."""
    return findings_visible_to(user).filter(visit=visit).order_by("found_at", "pk")


def sentence(visit: Visit, tasks: Sequence[VisitTask], findings: int, zones: Iterable[ZoneAtVisit]) -> str:
    """Return how far a visit is: 9 of 14 tasks, 2 findings, 1 zone out."""
    answered, out = sum(bool(task.result) for task in tasks), sum(zone.is_out for zone in zones)
    tasks_said = f"{answered} of {len(tasks)} task{'' if len(tasks) == 1 else 's'}" if tasks else "No tasks"
    said = [tasks_said, f"{findings or 'no'} finding{'' if findings == 1 else 's'}"]
    said += [f"{out} zone{'' if out == 1 else 's'} out"] if out else []
    return ", ".join(said) + "."
