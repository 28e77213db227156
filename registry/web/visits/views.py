"""The page of a visit, and its beginning."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.visits.models import Visit
from registry.visits.queries import in_full, visits_visible_to
from registry.visits.working import begin_visit
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.visits.visit_page import visit_page


def visit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a visit: to work in while it is open, to read when it is closed."""
    found = visible(in_full(visits_visible_to(request.user)), pk=pk)
    context = {"visit": found, "site": found.site, "crumbs": site_crumbs(found.site), **visit_page(request.user, found)}
    return render(request, "visits/visit.html", context)


def begin(request: SignedIn, pk: int) -> HttpResponseBase:
    """Begin a visit."""
    found = changeable(request, visits_visible_to(request.user), pk=pk)
    if request.method == "POST":
        try:
            begin_visit(by=request.user, visit=found)
        except ValueError as refused:
            messages.error(request, f"Nothing was recorded: {refused}.")
    return redirect("visit", pk)


def visit_crumbs(visit: Visit) -> Crumbs:
    """Return the way down to a visit."""
    return [*site_crumbs(visit.site), (visit.title, reverse("visit", args=[visit.pk]))]
