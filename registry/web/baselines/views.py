"""Pages of baselines: the list of a site, one of them, freezing, comparing, the printed restore sheet."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.baselines.actions import freeze_baseline
from registry.baselines.queries import baselines_visible_to, restores_visible_to
from registry.baselines.restoring import sheet_of
from registry.web.access import SignedIn, changeable, visible
from registry.web.baselines.baseline_page import BASELINE_COLUMNS, baseline_page
from registry.web.baselines.compare_page import compare_page
from registry.web.baselines.forms import FreezeForm
from registry.web.baselines.freeze_page import freeze_page
from registry.web.baselines.sheet_page import sheet_page
from registry.web.crumbs import site_crumbs
from registry.web.lists import Listing
from registry.web.saving import saved, typed
from sites.queries import sites_visible_to


def baselines(request: SignedIn, code: str) -> HttpResponseBase:
    """List the baselines of a site, and the restores that led back to one."""
    site = visible(sites_visible_to(request.user), code=code)
    found = baselines_visible_to(request.user).filter(site=site)
    listing = Listing(request, found, BASELINE_COLUMNS, name=f"baselines {site}")
    restores = restores_visible_to(request.user).filter(site=site).select_related("signed_by")
    context = {"site": site, "crumbs": site_crumbs(site), "restores": restores}
    return listing.response("baselines/baselines.html", context)


def baseline(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show everything that a baseline froze, its exceptions first."""
    found = visible(baselines_visible_to(request.user), pk=pk)
    context = {"baseline": found, "site": found.site, "crumbs": site_crumbs(found.site)}
    return render(request, "baselines/baseline.html", context | baseline_page(request.user, found))


def baseline_freeze(request: SignedIn, code: str) -> HttpResponseBase:
    """Freeze the site's present state; what is missing, not as agreed, or would change is shown before."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = FreezeForm(typed(request))
    if made := saved(form, lambda: freeze_baseline(by=request.user, site=site, **form.cleaned_data)):
        messages.success(request, f"Baseline {made.number} is frozen. Later changes leave it as it is.")
        return redirect("baseline", made.pk)
    context = {"site": site, "crumbs": site_crumbs(site), **freeze_page(site, form)}
    return render(request, "baselines/freeze.html", context, status=422 if form.errors else 200)


def baseline_compare(request: SignedIn, code: str) -> HttpResponseBase:
    """Show two baselines, or a baseline and the present, side by side: what differs first."""
    site = visible(sites_visible_to(request.user), code=code)
    context = {"site": site, "crumbs": site_crumbs(site), **compare_page(request.user, site, request.GET)}
    return render(request, "baselines/compare.html", context)


def restore_sheet(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show the sheet to print and take along: boxes to tick, blanks for readings, safety lines."""
    found = visible(baselines_visible_to(request.user), pk=pk)
    context = {"baseline": found, "site": found.site, "crumbs": site_crumbs(found.site)}
    return render(request, "baselines/sheet.html", context | sheet_page(found, sheet_of(found)))
