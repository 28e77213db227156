"""What was measured answers its own task: inside its limits it is in order, outside it is not.

What can't be judged (no baseline, too near the limit, nothing computed) is left to the tech,
who may also say otherwise.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from django.db.models import QuerySet
from django.utils import timezone

from registry.audio.models import Drift, Zone
from registry.planning.models import LineMeasurement
from registry.visits.measured import baseline_at, measured_at, zones_at
from registry.visits.models import TaskKind, TaskResult, Visit, VisitTask
from sites.models import User

OF_LEVELS: Final[Mapping[str, TaskResult]] = {Drift.WITHIN: TaskResult.DONE, Drift.OUT: TaskResult.WRONG}
OF_IMPEDANCES: Final[Mapping[str, TaskResult]] = {
    "pass": TaskResult.DONE,
    "warn": TaskResult.WRONG,
    "fail": TaskResult.WRONG,
}


def answer_level(*, by: User, visit: Visit, zone: Zone, at: datetime) -> None:
    """Answer the level task of a zone with how the zone stands now."""
    last = zones_at(measured_at(visit).levels, baseline_at(visit), [zone])[zone.pk].last
    if last is not None and (result := OF_LEVELS.get(last.drift.verdict)):
        _answer(by, VisitTask.objects.filter(visit=visit, kind=TaskKind.LEVELS, zone=zone), result, at)


def answer_impedance(*, by: User, visit: Visit, measured: LineMeasurement) -> None:
    """Answer the impedance task of a line with what was measured there last."""
    if result := OF_IMPEDANCES.get(measured.verdict):
        tasks = VisitTask.objects.filter(visit=visit, kind=TaskKind.IMPEDANCE, line=measured.line_id)
        _answer(by, tasks, result, measured.taken_at)


def _answer(by: User, tasks: QuerySet[VisitTask], result: TaskResult, at: datetime) -> None:
    for task in tasks.select_for_update().exclude(result=result):
        task.result, task.why_not = result, ""
        task.changed_by, task.changed_at, task.done_at = by, timezone.now(), at
        task._history_user = by  # type: ignore[attr-defined]
        task.save()
