"""The report of one visit for readers without an account; making and ending their links."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.reports.pdf import UnprintableError
from registry.reports.visit_facts import photos_shown
from registry.reports.visit_report import visit_report
from registry.visits.guests import make_guest_link, revoke_guest_link, visit_for_guest
from registry.visits.models import Visit
from registry.visits.queries import guest_links_visible_to, visits_visible_to
from registry.web.access import SignedIn, changeable, visible
from registry.web.pictures import picture_response
from registry.web.reports.downloads import pdf_response
from registry.web.saving import saved, status_of, typed
from registry.web.visits.guest_forms import GuestLinkForm
from registry.web.visits.report_views import TOO_MUCH, pdf_of_visit, report_words
from registry.web.visits.views import visit_crumbs

# The address is the key: it is told to nobody else, neither to search engines nor to the next page.
PRIVATE = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex", "Cache-Control": "private, no-store"}


def links(request: SignedIn, pk: int) -> HttpResponseBase:
    """Make a link, and show those that there are; its address is shown once."""
    visit = changeable(request, visits_visible_to(request.user), pk=pk)
    form, address = GuestLinkForm(typed(request)), ""
    if made := saved(form, lambda: make_guest_link(by=request.user, visit=visit, **form.cleaned_data)):
        address = request.build_absolute_uri(reverse("guest-report", args=[made.word]))
        form = GuestLinkForm()
    rows = guest_links_visible_to(request.user).filter(visit=visit)
    context = {"visit": visit, "site": visit.site, "crumbs": visit_crumbs(visit), "links": rows}
    context |= {"form": form, "address": address}
    response = render(request, "visits/guests.html", context, status=status_of(form))
    response.headers["Cache-Control"] = "private, no-store"
    return response


def revoke(request: SignedIn, pk: int) -> HttpResponseBase:
    """End a link now."""
    link = changeable(request, guest_links_visible_to(request.user), pk=pk)
    if request.method == "POST":
        revoke_guest_link(by=request.user, link=link)
        messages.success(request, f"The link for {link.for_whom} opens nothing any more.")
    return redirect("visit-guests", link.visit_id)


def _visit(token: str) -> Visit:
    found = visit_for_guest(token)
    if found is None:
        raise Http404("this link opens nothing, or has ended")
    return found


@login_not_required
def report(request: HttpRequest, token: str) -> HttpResponseBase:
    """Show the report to whoever has the link."""
    visit = _visit(token)
    context = {"visit": visit, "site": visit.site, "token": token, **report_words(visit_report(visit))}
    return _private(render(request, "visits/guest_report.html", context))


@login_not_required
def report_pdf(request: HttpRequest, token: str) -> HttpResponseBase:
    """Download the report with the link."""
    visit = _visit(token)
    try:
        return _private(pdf_response(pdf_of_visit(visit), visit.site, f"visit-report-{visit.pk}"))
    except UnprintableError as error:
        messages.error(request, TOO_MUCH.format(error))
        return redirect("guest-report", token)


@login_not_required
def photo(request: HttpRequest, token: str, pk: int) -> HttpResponseBase:
    """Return a photo of the report; no other."""
    return _private(picture_response(visible(photos_shown(_visit(token)), pk=pk).image))


def _private(response: HttpResponseBase) -> HttpResponseBase:
    for name, value in PRIVATE.items():
        response.headers[name] = value
    return response
