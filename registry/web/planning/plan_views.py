"""Pages of kept plans: the list, one of them, two side by side, its wiring sheet, accept and reject."""

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.exchange.designs import survey_files, zipped
from registry.planning.fold_plans import accept_plan, reject_plan
from registry.planning.models import FoldPlan
from registry.planning.queries import acceptance_of, fold_plans_visible_to
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.planning.columns import PLAN_COLUMNS, name_standings
from registry.web.planning.compare_page import compare_page
from registry.web.planning.fold_views import plans_crumbs
from registry.web.planning.forms import AcceptForm, RejectForm
from registry.web.planning.plan_page import kept_page
from registry.web.planning.wiring_page import wiring_page
from registry.web.saving import saved, typed
from sites.queries import sites_visible_to

WIRING_CAUTIONS = ("wiring", "load", "life-safety")


def plan_crumbs(plan: FoldPlan) -> Crumbs:
    """Return the way down to a kept plan."""
    return [*plans_crumbs(plan.site), (f"Plan {plan.number}", reverse("fold-plan", args=[plan.pk]))]


def fold_plans(request: SignedIn, code: str) -> HttpResponseBase:
    """List the kept plans of a site, rejected ones too."""
    site = visible(sites_visible_to(request.user), code=code)
    found = fold_plans_visible_to(request.user).filter(site=site)
    listing = Listing(request, found, PLAN_COLUMNS, name=f"fold plans {site}", prepare=name_standings)
    return listing.response("planning/plans.html", {"site": site, "crumbs": site_crumbs(site)})


def fold_plan(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a kept plan, and once it is accepted its design."""
    plan = visible(fold_plans_visible_to(request.user), pk=pk)
    return render(request, "planning/plan.html", {"crumbs": plans_crumbs(plan.site), **kept_page(plan)})


def fold_plan_wiring(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show the wiring sheet: every conductor on its terminal, jumpers drawn."""
    plan = visible(fold_plans_visible_to(request.user), pk=pk)
    return render(request, "planning/wiring.html", {"crumbs": plan_crumbs(plan), **wiring_page(plan)})


def fold_plan_compare(request: SignedIn, code: str) -> HttpResponseBase:
    """Show two kept plans side by side."""
    site = visible(sites_visible_to(request.user), code=code)
    context = {"site": site, "crumbs": plans_crumbs(site), **compare_page(request.user, site, request.GET)}
    return render(request, "planning/compare.html", context)


def fold_plan_accept(request: SignedIn, pk: int) -> HttpResponseBase:
    """Accept a plan: its design is frozen, and takes the place of one accepted before."""
    plan = changeable(request, fold_plans_visible_to(request.user), pk=pk)
    form = AcceptForm(typed(request))
    agreed = form.data.get("agreed", "")
    if saved(form, lambda: accept_plan(by=request.user, plan=plan, agreed=agreed)):
        messages.success(request, f"Plan {plan.number} is accepted. Its wiring sheet and its tables are frozen.")
        return redirect("fold-plan", plan.pk)
    answer = "Its design is frozen, with the wiring sheet. The register changes only when you say that it is wired."
    heading, crumbs = f"Accept plan {plan.number}", plan_crumbs(plan)
    return form_page(
        request, form, heading=heading, answer=answer, crumbs=crumbs, save="Accept it", cautions=WIRING_CAUTIONS
    )


def fold_plan_reject(request: SignedIn, pk: int) -> HttpResponseBase:
    """Reject a plan with a reason; both are kept."""
    plan = changeable(request, fold_plans_visible_to(request.user), pk=pk)
    form = RejectForm(typed(request))
    reason = form.data.get("reason", "")
    if saved(form, lambda: reject_plan(by=request.user, plan=plan, reason=reason)):
        messages.success(request, f"Plan {plan.number} is rejected. It stays here with its reason.")
        return redirect("fold-plan", plan.pk)
    answer = "Nothing is deleted: the plan stays, with the reason beside it."
    heading, crumbs = f"Reject plan {plan.number}", plan_crumbs(plan)
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, save="Reject it")


def fold_plan_survey(request: SignedIn, pk: int) -> HttpResponseBase:
    """Download the tables of an accepted plan as survey files in a zip."""
    plan = visible(fold_plans_visible_to(request.user), pk=pk)
    acceptance = acceptance_of(plan)
    if acceptance is None or acceptance.design is None:
        raise Http404("Only an accepted plan has tables.")
    folder = f"{plan.site.code}-plan-{plan.number}"
    files = survey_files(acceptance.design["tables"], taken_at=acceptance.decided_at)
    response = HttpResponse(zipped(files, folder=folder), content_type="application/zip")
    response.headers["Content-Disposition"] = f'attachment; filename="{folder}.zip"'
    return response
