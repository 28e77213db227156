"""The page that computes fold plans, and keeping one of them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from registry.planning.fold_plans import keep_plan
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.planning.answer import MANY_ZONES, answer, kept_for
from registry.web.planning.asking import Asked
from registry.web.planning.forms import KeepForm
from registry.web.saving import saved
from sites.models import Site
from sites.queries import sites_visible_to


def asks_for_part(request: HttpRequest) -> bool:
    """Whether htmx asks for the recomputed part of the page only."""
    return request.headers.get("HX-Request") == "true"


def plans_crumbs(site: Site) -> Crumbs:
    """Return the way down to the fold plans of a site."""
    return [*site_crumbs(site), ("Fold plans", reverse("fold-plans", args=[site.code]))]


def fold_plan_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Compute fold plans for a site; what is asked stands in the address."""
    site = visible(sites_visible_to(request.user), code=code)
    asked = Asked(request.user, site, request.GET)
    context = {"site": site, "asked": asked, "crumbs": plans_crumbs(site), **answer(asked)}
    context["is_long"] = len(asked.chosen_zones) >= MANY_ZONES
    if asks_for_part(request):
        return render(request, "planning/fold_part.html", context)
    return render(request, "planning/fold.html", context, status=422 if asked.errors else 200)


@require_POST
def fold_plan_keep(request: SignedIn, code: str) -> HttpResponseBase:
    """Keep the plan with a number of amplifiers; it is computed again from the address that it came from."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = KeepForm(request.POST)
    if not form.is_valid():
        messages.error(request, "The plan was not kept: name it, in at most 120 characters.")
        return redirect("fold-plan-new", site.code)
    inputs = form.cleaned_data["inputs"]
    kept = kept_for(Asked(request.user, site, QueryDict(inputs)), form.cleaned_data["amplifiers"])
    if kept is None:
        messages.error(request, "This plan is not possible any more: the register has changed. Look at it again.")
        return redirect(f"{reverse('fold-plan-new', args=[site.code])}?{inputs}")
    title = form.cleaned_data["title"]
    made = saved(form, lambda: keep_plan(by=request.user, site=site, title=title, kept=kept, inputs=inputs))
    assert made is not None
    messages.success(request, f"Plan {made.number} is kept with all that it was computed from.")
    return redirect("fold-plan", made.pk)
