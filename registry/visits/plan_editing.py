"""Writes of visit plans: make, change, end; hold one date on another day. Scheduled visits stay as they are."""

from collections.abc import Mapping, Sequence
from datetime import date, time
from typing import Any, NamedTuple

from django.db import transaction
from django.utils import timezone

from registry.visits.counting import next_after
from registry.visits.due import is_for
from registry.visits.models import Counting, MovedDate, PlanTask, TaskKind, VisitPlan
from registry.visits.recurrence import first_date, read_rule
from sites.models import Site, User
from sites.put import Batch, put, refuse
from sites.versions import check_version

Values = Mapping[str, Any]
MOST_MONTHS = 240


class WantedTask(NamedTuple):
    """A task of a plan as somebody chose it; every 0 months is at every visit."""

    kind: TaskKind
    every_months: int
    note: str = ""


@transaction.atomic
def save_plan(
    *, by: User, plan: VisitPlan | None, values: Values, tasks: Sequence[WantedTask], version: str | None = None
) -> VisitPlan:
    """Make a plan (of the `site` or the `client` in its values), or change one.

    Its first date becomes the first one that fits the rule. Visits that are scheduled already stay as they are.

    Raises ValueError when the rule gives no date or can't be kept, or somebody else changed it since `version`.
    """
    check_version(plan, version, {**values, "tasks": None})
    if plan is not None and plan.ended_on is not None:
        raise ValueError("this plan has ended: make a new one")
    checked = {**values, **_checked_rule(values)}
    key = (plan.pk if plan else None,)
    batch = Batch(by=by, blank_clears=plan is not None)
    made = put(batch, VisitPlan, {key: checked}, {key: plan} if plan else {})[key]
    _put_tasks(by, made, tasks)
    return made


def _checked_rule(values: Values) -> dict[str, Any]:
    try:
        rule = read_rule(values["rule"])
        starts_on = first_date(rule, values["starts_on"])
    except ValueError as error:
        raise refuse("visit plan", (values["name"],), "rule", str(error)) from error
    if values["counting"] == Counting.DONE:
        try:
            next_after(rule, starts_on)
        except ValueError as error:
            raise refuse("visit plan", (values["name"],), "counting", str(error)) from error
    return {"rule": rule.text, "starts_on": starts_on}


def _put_tasks(by: User, plan: VisitPlan, tasks: Sequence[WantedTask]) -> None:
    """Write the tasks of a plan; those that are not wanted any more go, their history stays."""
    rows: dict[tuple[Any, ...], dict[str, Any]] = {}
    for task in tasks:
        _refuse_bad_task(task)
        note = task.note.strip()
        rows[task.kind, note if task.kind == TaskKind.OTHER else ""] = {
            "plan_id": plan.pk,
            "kind": task.kind,
            "every_months": task.every_months,
            "note": note,
        }
    known = {(task.kind, task.note if task.kind == TaskKind.OTHER else ""): task for task in plan.tasks.all()}
    for key, row in known.items():
        if key not in rows:
            row._history_user = by  # type: ignore[attr-defined]
            row.delete()
    put(Batch(by=by, blank_clears=True), PlanTask, rows, known)


def _refuse_bad_task(task: WantedTask) -> None:
    if not 0 <= task.every_months <= MOST_MONTHS:
        raise refuse("plan task", (task.kind,), "every_months", f"give 0 (at every visit) to {MOST_MONTHS} months")
    if task.kind == TaskKind.OTHER and not task.note.strip():
        raise refuse("plan task", (task.kind,), "note", "say what the other task is")


@transaction.atomic
def end_plan(*, by: User, plan: VisitPlan) -> VisitPlan:
    """End a plan: it makes no more visits due. Visits that are scheduled stay; call them off one by one."""
    plan = VisitPlan.objects.select_for_update().get(pk=plan.pk)
    if plan.ended_on is None:
        plan.ended_on = timezone.localdate()
        plan._history_user = by  # type: ignore[attr-defined]
        plan.save()
    return plan


@transaction.atomic
def move_date(
    *,
    by: User,
    plan: VisitPlan,
    site: Site,
    day: date,
    to: date | None,
    reason: str,
    starts_at: time | None = None,
) -> MovedDate:
    """Hold one date of a plan on another day, or leave it out (`to` is None). The rule and all other dates stay.

    Raises ValueError when a visit was made of it: then the visit is moved or called off.
    """
    key = (plan.pk, site.pk, day)
    if not is_for(plan, site):
        raise refuse("moved date", key, "date", f"this plan is not for {site}")
    if not reason.strip():
        raise refuse("moved date", key, "reason", "say why: the owner will ask")
    if plan.visits.filter(site=site, occurrence=day).exists():
        raise refuse("moved date", key, "to", "a visit was made of this date: move that visit, or call it off")
    moved = MovedDate.objects.filter(plan=plan, site=site, date=day).first() or MovedDate(
        plan=plan, site=site, date=day
    )
    moved.to, moved.starts_at, moved.reason = to, starts_at, reason.strip()
    moved._history_user = by  # type: ignore[attr-defined]
    moved.save()
    return moved


@transaction.atomic
def put_date_back(*, by: User, moved: MovedDate) -> None:
    """Hold a moved date on the rule's own day again."""
    moved._history_user = by  # type: ignore[attr-defined]
    moved.delete()
