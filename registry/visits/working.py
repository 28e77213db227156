"""Writes at a visit: begin it, answer its tasks, note the minutes.

`at` is when it happened, where a phone sends it later; `version` the one that the writer saw (sites.versions).
"""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from registry.planning.measuring import Excluded, excluded_at
from registry.planning.sequence import Subject
from registry.visits.due_tasks import add_due_tasks
from registry.visits.models import TaskKind, TaskResult, Visit, VisitTask
from registry.visits.under_way import happened, open_visit, signed_by, under_way
from sites.models import User
from sites.no_secrets import refuse_secrets_in
from sites.put import Problem, RefusedError, refuse
from sites.versions import check_version

# Tasks for which somebody switches off, disconnects or unplugs.
TOUCHING = frozenset({TaskKind.IMPEDANCE, TaskKind.TERMINALS, TaskKind.POWER_CUT})
MOST_MINUTES = 6000


@transaction.atomic
def begin_visit(*, by: User, visit: Visit, at: datetime | None = None) -> Visit:
    """Begin a visit; one that is under way already stays as it is, for the second tech and the second sending.

    Raises ValueError when it is closed or called off.
    """
    visit = open_visit(visit)
    if visit.begun_at is not None:
        return visit
    visit.begun_at, visit.begun_by = happened(at), by
    visit.tech = visit.tech or by
    signed_by(visit, by)
    add_due_tasks(by=by, visit=visit)
    return visit


@transaction.atomic
def record_task(
    *,
    by: User,
    task: VisitTask,
    found: str = "",
    left: str = "",
    result: str = "",
    why_not: str = "",
    version: str | None = None,
    at: datetime | None = None,
) -> VisitTask:
    """Answer a task: all of it as it is now, so that what is not given is cleared.

    Raises ValueError when the visit is not under way, somebody else answered since `version`, as found is locked,
    a level or impedance is called done without one, or life safety keeps hands off it.
    """
    visit = under_way(task.visit)
    answer = {"found": found.strip(), "left": left.strip(), "result": result, "why_not": why_not.strip()}
    task = VisitTask.objects.select_related("line", "zone", "place", "changed_by").get(pk=task.pk)
    check_version(task, version, _of_others(task, answer, by))
    if all(getattr(task, name) == value for name, value in answer.items()):
        return task
    _refuse(visit, task, answer)
    for name, value in answer.items():
        setattr(task, name, value)
    task.changed_by, task.changed_at, task.done_at = by, timezone.now(), happened(at, visit)
    task._history_user = by  # type: ignore[attr-defined]
    refuse_secrets_in(task)
    task.clean_fields(exclude=["visit", "place", "rack", "line", "zone", "changed_by"])
    task.save()
    return task


def _of_others(task: VisitTask, answer: dict[str, str], by: User) -> dict[str, str]:
    """Leave out one's own verdict, which a measurement may have given since: to say otherwise is nobody's loss."""
    own = {"result", "why_not"} if task.changed_by_id == by.pk else frozenset[str]()
    return {name: value for name, value in answer.items() if name not in own}


def _refuse(visit: Visit, task: VisitTask, answer: dict[str, str]) -> None:
    problems = list(_contradictions(task, answer))
    if answer["result"] in {TaskResult.DONE, TaskResult.WRONG}:
        if excluded := excluded_of(task, excluded_at(visit.site)):
            problems.append(("result", f"{excluded} Choose not done."))
        elif missing := _unmeasured(visit, task):
            problems.append(("result", missing))
    if problems:
        raise RefusedError([Problem("task", (task.pk,), name, says) for name, says in problems])


def _contradictions(task: VisitTask, answer: dict[str, str]) -> list[tuple[str, str]]:
    said = []
    if task.left and answer["found"] != task.found:
        said.append(("found", f"As found is locked since as left was given: it was “{task.found or 'nothing noted'}”."))
    if answer["result"] not in {"", *TaskResult.values}:
        said.append(("result", f"{answer['result']!r} is no result."))
    if answer["result"] == TaskResult.NOT_DONE and not answer["why_not"]:
        said.append(("why_not", "Say why it was not done."))
    if answer["result"] != TaskResult.NOT_DONE and answer["why_not"]:
        said.append(("why_not", "This is why it was not done: choose not done, or clear it."))
    return said


def _unmeasured(visit: Visit, task: VisitTask) -> str:
    """A level or an impedance is done when there is one."""
    if task.kind == TaskKind.LEVELS and task.zone_id:
        measured = visit.readings.filter(reading__zone=task.zone_id)
    elif task.kind == TaskKind.IMPEDANCE and task.line_id:
        measured = visit.readings.filter(measurement__line=task.line_id)
    else:
        return ""
    return "" if measured.exists() else "Measure first and record it, or choose not done and say why."


def excluded_of(task: VisitTask, excluded: Excluded) -> str:
    """Return why nobody may put a hand on what this task is about; empty where life safety is not touched."""
    if task.kind not in TOUCHING:
        return ""
    if task.line_id:
        return excluded.get((Subject.LINE, task.line_id), "")
    return excluded.get((Subject.PLACE, task.place_id or 0), "")


@transaction.atomic
def record_minutes(*, by: User, visit: Visit, minutes: int, version: str | None = None) -> Visit:
    """Note how many minutes were worked, all people together."""
    visit = under_way(visit)
    check_version(visit, version, {"minutes": minutes})
    if not 1 <= minutes <= MOST_MINUTES:
        raise refuse("visit", (visit.pk,), "minutes", f"Give 1 to {MOST_MINUTES} minutes, of all people together.")
    visit.minutes = minutes
    return signed_by(visit, by)
