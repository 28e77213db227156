"""The page of a site's drift."""

from django.http import HttpResponseBase
from django.shortcuts import render

from registry.web.access import SignedIn, visible
from registry.web.baselines.drift_page import drift_page
from registry.web.crumbs import site_crumbs
from sites.queries import sites_visible_to


def site_drift(request: SignedIn, code: str) -> HttpResponseBase:
    """Show how far a site's zones and settings are from its newest baseline, the worst first."""
    site = visible(sites_visible_to(request.user), code=code)
    context = {"site": site, "crumbs": site_crumbs(site), **drift_page(request.user, site)}
    return render(request, "baselines/drift.html", context)
