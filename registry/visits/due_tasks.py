"""Which tasks a visit carries: those that are due by its date, counted from when each was last done at that site."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Final

from dateutil.relativedelta import relativedelta
from django.db.models import Max, Q
from django.db.models.functions import Coalesce

from registry.visits.models import PlanTask, TaskKind, TaskResult, Visit, VisitPlan, VisitTask
from registry.visits.subjects import Subjects, subjects_of
from registry.visits.task_list import TASKS
from sites.history import create_with_history
from sites.models import Site, User

# A visit that comes a little early takes a task along rather than leave it for half a year (our own choice).
EARLIEST: Final = 0.25
AT_MOST: Final = timedelta(days=31)
Done = dict[tuple[str, str], date]


def is_due(task: PlanTask, done_on: date | None, day: date) -> bool:
    """Return whether a task belongs to a visit on `day`: its interval has passed, but for a quarter of it at most."""
    if done_on is None or task.every_months == 0:
        return True
    next_on: date = done_on + relativedelta(months=task.every_months)
    return day >= next_on - min(AT_MOST, (next_on - done_on) * EARLIEST)


def last_done(site: Site, *, before: Visit | None = None) -> Done:
    """Return when each task (kind and, for others, its note) was last done at a site. One query.

    With `before`, a task that stands on an open visit earlier than that one counts as done there: two visits that are
    scheduled ahead don't both carry it.
    """
    wanted = Q(result__in=[TaskResult.DONE, TaskResult.WRONG])
    rows = VisitTask.objects.filter(visit__site=site, visit__called_off_because="")
    if before is not None:
        pending = Q(result="", visit__closed_at__isnull=True, visit__starts_at__lt=before.starts_at)
        wanted |= pending
        rows = rows.exclude(visit=before)
    at = Coalesce("done_at", "visit__begun_at", "visit__starts_at")
    found = rows.filter(wanted).values_list("kind", "note").annotate(at=Max(at)).order_by()
    done: Done = {}
    for kind, note, moment in found:
        key, day = _key(kind, note), moment.astimezone(site.zone_info).date()
        done[key] = max(day, done.get(key, day))
    return done


def due_tasks(plan: VisitPlan, site: Site, day: date, *, visit: Visit | None = None) -> list[PlanTask]:
    """Return the tasks of a plan that are due at a site by `day`, in working order."""
    done = last_done(site, before=visit)
    due = [task for task in plan.tasks.all() if is_due(task, done.get(_key(task.kind, task.note)), day)]
    order = list(TASKS)
    return sorted(due, key=lambda task: order.index(TaskKind(task.kind)))


def add_due_tasks(*, by: User, visit: Visit) -> int:
    """Put the due tasks of its plan onto a visit, one line for each thing that they are about; return how many.

    What stands on it already stays as it is, so this may be called again (when the visit is moved or begun).
    """
    if visit.plan is None:
        return 0
    day = visit.starts_at.astimezone(visit.site.zone_info).date()
    there = {_identity(row) for row in visit.tasks.all()}
    tasks = due_tasks(visit.plan, visit.site, day, visit=visit)
    rows = [row for row in checklist(visit, tasks, subjects_of(visit.site)) if _identity(row) not in there]
    create_with_history(rows, by=by)
    return len(rows)


def checklist(visit: Visit, tasks: Iterable[PlanTask], found: Subjects) -> list[VisitTask]:
    """Return the lines of a checklist, unsaved: each task once for everything that it is about."""
    return [
        VisitTask(visit=visit, kind=task.kind, note=task.note, **about)
        for task in tasks
        for about in found.of(TaskKind(task.kind))
    ]


def _identity(row: VisitTask) -> tuple[object, ...]:
    return (*_key(row.kind, row.note), row.place_id, row.rack_id, row.line_id, row.zone_id)


def _key(kind: str, note: str) -> tuple[str, str]:
    return kind, note if kind == TaskKind.OTHER else ""
