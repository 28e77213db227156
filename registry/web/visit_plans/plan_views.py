"""Pages of one visit plan: look at it, make, change and end it."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from registry.visits.models import TaskKind, VisitPlan
from registry.visits.plan_editing import end_plan, save_plan
from registry.visits.queries import visit_plans_visible_to
from registry.visits.subjects import proposed_tasks, subjects_of
from registry.visits.task_list import TASKS
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, client_crumbs, site_crumbs
from registry.web.saving import saved, status_of, typed
from registry.web.visit_plans.plan_form import PlanForm
from registry.web.visit_plans.plan_page import plan_crumbs, plan_page
from registry.web.visit_plans.preview import preview_of
from registry.web.visit_plans.task_form import TaskForm
from sites.models import Client, Site, User
from sites.queries import clients_visible_to, sites_visible_to


def plan(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a plan: its next dates, what was moved, its tasks and its visits."""
    found = visible(visit_plans_visible_to(request.user), pk=pk)
    context = {"plan": found, "crumbs": plan_crumbs(found)[:-1], **plan_page(request.user, found)}
    return render(request, "visit_plans/plan.html", context)


def site_plan_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Make a plan for one site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    tasks = proposed_tasks(subjects_of(site))
    return _editor(request, None, {"site": site}, tasks, site_crumbs(site))


def client_plan_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Make a plan for every site of a client."""
    client = changeable(request, clients_visible_to(request.user), pk=pk)
    left_out = {TaskKind.OTHER, TaskKind.MUTE_CONTACT}
    tasks: dict[TaskKind, int] = {kind: task.months for kind, task in TASKS.items() if kind not in left_out}
    return _editor(request, None, {"client": client}, tasks, client_crumbs(client))


def plan_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a plan."""
    found = changeable(request, visit_plans_visible_to(request.user), pk=pk)
    owner = {"site": found.site, "client": found.client}
    tasks = {TaskKind(task.kind): task.every_months for task in found.tasks.all()}
    return _editor(request, found, owner, tasks, plan_crumbs(found))


def _editor(
    request: SignedIn,
    plan: VisitPlan | None,
    owner: Mapping[str, Any],
    tasks: Mapping[TaskKind, int],
    crumbs: Crumbs,
) -> HttpResponseBase:
    """Show the form, preview what was typed, or save it."""
    form = PlanForm(typed(request), instance=plan, asks=request.user, initial={} if plan else _usual(request.user))
    others = plan.tasks.filter(kind=TaskKind.OTHER) if plan else ()
    task_form = TaskForm(typed(request), tasks=tasks, others=others, prefix="tasks")
    site = site_shown(request.user, owner)
    wants_to_save = request.method == "POST" and "preview" not in request.POST
    if wants_to_save and task_form.is_valid() and (made := _saved(request.user, plan, owner, form, task_form)):
        messages.success(request, f"Plan {made.name} is saved. Its first date is {made.starts_on:%d %b %Y}.")
        return redirect("visit-plan", made.pk)
    preview = preview_of(form, site, timezone.localdate()) if form.is_bound else None
    names = {"form": form, "task_form": task_form, "plan": plan, "crumbs": crumbs, "preview": preview}
    status = 422 if task_form.errors else status_of(form)
    context = {**names, "owner": owner.get("site") or owner["client"], "shown_site": site}
    return render(request, "visit_plans/plan_edit.html", context, status=status)


def _usual(user: User) -> dict[str, Any]:
    return {"starts_on": timezone.localdate(), "starts_at": "09:00", "name": "Planned maintenance", "minutes": 120}


def _saved(
    user: User, plan: VisitPlan | None, owner: Mapping[str, Any], form: PlanForm, task_form: TaskForm
) -> VisitPlan | None:
    return saved(
        form,
        lambda: save_plan(
            by=user,
            plan=plan,
            values={**({} if plan else owner), **form.values()},
            tasks=task_form.wanted(),
            version=form.version() if plan else None,
        ),
    )


def site_shown(user: User, owner: Mapping[str, Any]) -> Site | None:
    """Return the site whose dates a preview shows: the plan's own, or the client's first."""
    site, client = owner.get("site"), owner.get("client")
    assert site is None or isinstance(site, Site)
    if site is not None:
        return site
    assert isinstance(client, Client)
    return sites_visible_to(user).filter(client=client).first()


def preview(request: SignedIn, code: str) -> HttpResponseBase:
    """Answer the form while it is being filled in: the next ten dates at a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = PlanForm(request.GET, asks=request.user)
    form.fields["name"].required = False
    context = {"preview": preview_of(form, site, timezone.localdate()), "form": form}
    return render(request, "visit_plans/preview.html", context)


def plan_end(request: SignedIn, pk: int) -> HttpResponseBase:
    """End a plan."""
    found = changeable(request, visit_plans_visible_to(request.user), pk=pk)
    if request.method == "POST":
        end_plan(by=request.user, plan=found)
        messages.success(request, f"Plan {found.name} has ended. Visits that are scheduled stay.")
        return redirect("visit-plan", pk)
    waiting = found.visits.filter(begun_at__isnull=True, closed_at__isnull=True, called_off_because="")
    context = {"plan": found, "crumbs": plan_crumbs(found), "waiting": waiting.select_related("site")}
    return render(request, "visit_plans/plan_end.html", context)
