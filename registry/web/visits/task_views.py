"""One task of a visit: its small form opens in place with htmx, or on a page of its own without."""

from collections.abc import Mapping
from typing import Any

from django.forms import BaseForm
from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.equipment.models import State
from registry.visits.models import Visit, VisitTask
from registry.visits.queries import tasks_of, visits_visible_to
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.working import record_task
from registry.web.access import SignedIn, changeable, visible
from registry.web.planning.fold_views import asks_for_part
from registry.web.saving import saved, status_of
from registry.web.visits.forms import LevelForm, TaskForm, VisitImpedanceForm
from registry.web.visits.task_page import task_page
from registry.web.visits.views import visit_crumbs
from registry.web.visits.visit_page import visit_page

Refused = Mapping[str, BaseForm]


def _to_write(request: SignedIn, pk: int, task: int) -> tuple[Visit, VisitTask]:
    found = changeable(request, visits_visible_to(request.user), pk=pk)
    return found, visible(tasks_of(found), pk=task)


def task(request: SignedIn, pk: int, task: int) -> HttpResponseBase:
    """Show a task with its forms; save its answer."""
    if request.method != "POST":
        found = visible(visits_visible_to(request.user), pk=pk)
        return _open(request, found, visible(tasks_of(found), pk=task))
    found, row = _to_write(request, pk, task)
    form = TaskForm(whole_answer(request.POST, row), instance=row)
    if saved(form, lambda: record_task(by=request.user, task=row, **form.values(), version=form.version())):
        return _saved(request, found, row)
    return _open(request, found, row, {"form": form})


def whole_answer(typed: QueryDict, row: VisitTask) -> Any:
    """Return what was typed and what the form doesn't show: the words of a level task, which its reading tells."""
    data = typed.copy()
    for name in ("found", "left"):
        data.setdefault(name, getattr(row, name))
    return data


def level(request: SignedIn, pk: int, task: int) -> HttpResponseBase:
    """Record a level for a task."""
    found, row = _to_write(request, pk, task)
    if request.method != "POST":
        return redirect("visit-task", pk, task)
    zone = visible(zones_visible_to(request.user), pk=row.zone_id)
    form = LevelForm(request.POST)

    def read() -> object:
        values, state = form.values(without=("state",)), State(form.cleaned_data["state"])
        return record_visit_reading(by=request.user, visit=found, zone=zone, state=state, values=values)

    if saved(form, read):
        return _recorded(request, found, row)
    return _open(request, found, row, {"level": form})


def impedance(request: SignedIn, pk: int, task: int) -> HttpResponseBase:
    """Record an impedance for a task."""
    found, row = _to_write(request, pk, task)
    if request.method != "POST":
        return redirect("visit-task", pk, task)
    line = visible(lines_visible_to(request.user), pk=row.line_id)
    form = VisitImpedanceForm(request.POST)

    def measure() -> object:
        values, corrects = form.values(without=("corrects",)), form.cleaned_data["corrects"]
        return record_visit_measurement(by=request.user, visit=found, line=line, values=values, corrects=corrects)

    if saved(form, measure):
        return _recorded(request, found, row)
    return _open(request, found, row, {"impedance": form})


def _recorded(request: SignedIn, visit: Visit, row: VisitTask) -> HttpResponseBase:
    """Show the verdict, and the task as it answered it."""
    if asks_for_part(request):
        return _open(request, visit, tasks_of(visit).get(pk=row.pk))
    return redirect("visit-task", visit.pk, row.pk)


def _saved(request: SignedIn, visit: Visit, row: VisitTask) -> HttpResponseBase:
    """Back to the checklist, at the task that was answered."""
    if not asks_for_part(request):
        return redirect(f"{reverse('visit', args=[visit.pk])}#task-{row.pk}")
    context = {"visit": visit, "site": visit.site, **visit_page(request.user, visit)}
    context["row"] = next(each for group in context["groups"] for each in group.rows if each.task.pk == row.pk)
    return render(request, "visits/task_saved.html", context)


def _open(request: SignedIn, visit: Visit, row: VisitTask, refused: Refused | None = None) -> HttpResponse:
    context = task_page(request.user, visit, row, refused or {})
    status = max((status_of(form) for form in (refused or {}).values()), default=200)
    if asks_for_part(request):
        return render(request, "visits/task_part.html", context, status=status)
    return render(request, "visits/task.html", context | {"crumbs": visit_crumbs(visit)}, status=status)
