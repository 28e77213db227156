"""Pages of a visit before it is begun: schedule a date of a plan or another visit, move it, call it off."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from registry.visits.due import PlanDay, as_proposed, open_dates, plans_at
from registry.visits.models import Visit, VisitPlan
from registry.visits.plan_editing import move_date, put_date_back
from registry.visits.queries import moved_dates_visible_to, visit_plans_visible_to, visits_visible_to
from registry.visits.scheduling import PlanDate, call_off_visit, move_visit, schedule_visit
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from registry.web.visit_plans.plan_page import plan_crumbs
from registry.web.visit_plans.visit_form import MoveDateForm, ReasonForm, VisitForm
from sites.models import Site
from sites.queries import sites_visible_to


def visit_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Schedule a visit that belongs to no plan."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = VisitForm(typed(request), asks=request.user, zone=site.zone_info, initial={"tech": request.user.pk})
    if made := saved(form, lambda: schedule_visit(by=request.user, site=site, **form.values())):
        messages.success(request, f"Visit {made.title} is scheduled.")
        return redirect("visit", made.pk)
    answer = f"One visit to {site} that no plan asks for. Its plan's tasks come with planned visits only."
    return form_page(request, form, heading="New visit", answer=answer, crumbs=site_crumbs(site), save="Schedule")


def date_schedule(request: SignedIn, pk: int, code: str, day: date) -> HttpResponseBase:
    """Make a visit of one date of a plan, with the tasks that are due by then."""
    plan = changeable(request, visit_plans_visible_to(request.user), pk=pk)
    site = visible(sites_visible_to(request.user), code=code)
    held = _held(plan, site, day)
    start = {"title": plan.name, "minutes": plan.minutes, "tech": plan.tech_id}
    if held is not None:
        start["starts_at"] = held.starts_at
    form = VisitForm(typed(request), asks=request.user, zone=site.zone_info, initial=start)
    of = PlanDate(plan, day)
    if held is None:
        messages.error(request, f"{day:%d %b %Y} is no open date of this plan.")
        return redirect("visit-plan", pk)
    if made := saved(form, lambda: schedule_visit(by=request.user, site=site, of=of, **form.values())):
        messages.success(request, f"Visit {made.title} is scheduled with {made.tasks.count()} tasks.")
        return redirect("visit", made.pk)
    return _page(request, form, f"Schedule {plan.name}", _about(held, site), plan_crumbs(plan), "Schedule")


def _held(plan: VisitPlan, site: Site, day: date) -> PlanDay | None:
    """Return how a date can be held, if it is one that still asks for a visit."""
    for at in plans_at([plan], [site]):
        for each in open_dates(at):
            if each.occurrence >= day:
                return as_proposed(at, each, timezone.now()) if each.occurrence == day else None
    return None


def _about(held: PlanDay, site: Site) -> str:
    due = f"Due on {held.occurrence.day} {held.occurrence:%b %Y} at {site}."
    moved = f" Proposed for {held.day.day} {held.day:%b}: {held.why}." if held.day != held.occurrence else ""
    return f"{due}{moved}{f' Beware: {held.warning}.' if held.warning else ''} The tasks due by then come with it."


def _page(
    request: SignedIn, form: Any, heading: str, answer: str, crumbs: Crumbs, save: str = "Save"
) -> HttpResponseBase:
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, save=save)


def date_move(request: SignedIn, pk: int, code: str, day: date) -> HttpResponseBase:
    """Hold one date of a plan on another day, or leave it out."""
    plan = changeable(request, visit_plans_visible_to(request.user), pk=pk)
    site = visible(sites_visible_to(request.user), code=code)
    form = MoveDateForm(typed(request))

    def move() -> object:
        given = form.cleaned_data
        to, starts_at, reason = given["to"], given["starts_at"], given["reason"]
        return move_date(by=request.user, plan=plan, site=site, day=day, to=to, starts_at=starts_at, reason=reason)

    if saved(form, move):
        messages.success(request, "This date is changed; the rule and all other dates stay.")
        return redirect("visit-plan", pk)
    answer = f"The visit of {day.day} {day:%b %Y} at {site}. The rule and all other dates stay."
    return _page(request, form, f"Move {day.day} {day:%b %Y}", answer, plan_crumbs(plan))


def date_put_back(request: SignedIn, pk: int) -> HttpResponseBase:
    """Hold a moved date on the rule's own day again."""
    moved = changeable(request, moved_dates_visible_to(request.user), pk=pk)
    if request.method == "POST":
        put_date_back(by=request.user, moved=moved)
        messages.success(request, "This date is held on the rule's own day again.")
    return redirect("visit-plan", moved.plan_id)


def visit_move(request: SignedIn, pk: int) -> HttpResponseBase:
    """Put a visit on another day or time, or give it to somebody else."""
    visit = changeable(request, visits_visible_to(request.user), pk=pk)
    start = {"starts_at": visit.starts_at, "minutes": visit.planned_minutes, "tech": visit.tech_id}
    zone = visit.site.zone_info
    form = VisitForm(typed(request), asks=request.user, zone=zone, visit=visit, initial=start)
    # What somebody else changed meanwhile is told in the site's time too.
    with timezone.override(zone):
        moved = saved(form, lambda: move_visit(by=request.user, visit=visit, version=form.version(), **form.values()))
    if moved:
        messages.success(request, "The visit is moved.")
        return redirect("visit", pk)
    answer = "Tasks that come due by the new day are added; the plan's own date stays as it is."
    return _page(request, form, f"Move {visit.title}", answer, _crumbs(visit))


def visit_call_off(request: SignedIn, pk: int) -> HttpResponseBase:
    """Call off a visit."""
    visit = changeable(request, visits_visible_to(request.user), pk=pk)
    form = ReasonForm(typed(request), row=visit)

    def call_off() -> Visit:
        return call_off_visit(by=request.user, visit=visit, reason=form.cleaned_data["reason"], version=form.version())

    # As for a visit that is moved.
    with timezone.override(visit.site.zone_info):
        called_off = saved(form, call_off)
    if called_off:
        messages.success(request, "The visit is called off. Its tasks stay due: the next visit carries them.")
        return redirect("visit", pk)
    answer = "Nobody goes. It stays in the register with the reason; to go on another day, move it instead."
    return _page(request, form, f"Call off {visit.title}", answer, _crumbs(visit), "Call it off")


def _crumbs(visit: Visit) -> Crumbs:
    return [*site_crumbs(visit.site), (visit.title, reverse("visit", args=[visit.pk]))]
