"""The visit report as a page and as a PDF."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.reports.pdf import UnprintableError
from registry.reports.visit_facts import visit_facts
from registry.reports.visit_report import VisitReport, report_of, visit_report
from registry.reports.visit_sheet import signed_words, visit_report_pdf
from registry.visits.models import Visit
from registry.visits.queries import in_full, visits_visible_to
from registry.web.access import SignedIn, visible
from registry.web.reports.downloads import pdf_response
from registry.web.visits.views import visit_crumbs

TOO_MUCH = "{} Print this page instead."


def report(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show the report of a visit, as its owner reads it."""
    found = visible(in_full(visits_visible_to(request.user)), pk=pk)
    context = {"visit": found, "site": found.site, "crumbs": visit_crumbs(found), **report_words(visit_report(found))}
    return render(request, "visits/report.html", context)


def report_words(report: VisitReport) -> dict[str, object]:
    """Return what the page of a report shows."""
    return {"report": report, "signed": signed_words(report)}


def report_pdf(request: SignedIn, pk: int) -> HttpResponseBase:
    """Download the report."""
    found = visible(in_full(visits_visible_to(request.user)), pk=pk)
    try:
        return pdf_response(pdf_of_visit(found), found.site, f"visit-report-{found.pk}")
    except UnprintableError as error:
        messages.error(request, TOO_MUCH.format(error))
        return redirect("visit-report", pk)


def pdf_of_visit(visit: Visit) -> bytes:
    """Return the report of a visit with its photos."""
    facts = visit_facts(visit)
    images = {photo.pk: photo.image for photo in facts.photos}

    def picture(pk: int) -> bytes:
        with images[pk].open("rb") as file:
            return bytes(file.read())

    return visit_report_pdf(report_of(facts), picture=picture)
