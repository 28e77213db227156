"""Findings: the list, one finding, and what is done about it."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.text import Truncator

from registry.visits.finding import add_finding, close_finding, edit_finding, reopen_finding
from registry.visits.models import Finding, Severity, Visit
from registry.visits.queries import findings_visible_to, tasks_of, visit_photos_visible_to, visits_visible_to
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.exports import export_asked
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from registry.web.visits.finding_forms import FindingDoneForm, FindingForm
from registry.web.visits.finding_list import COLUMNS, EXPORTED, FindingFilter, finding_rows
from registry.web.visits.views import visit_crumbs
from sites.models import Site
from sites.queries import sites_visible_to


def findings(request: SignedIn) -> HttpResponseBase:
    """List findings; the export holds the whole words."""
    columns = EXPORTED if export_asked(request) else COLUMNS
    listing = Listing(request, finding_rows(request.user), columns, name="findings", filterset=FindingFilter)
    rows = findings_visible_to(request.user).filter(closed_at__isnull=True)
    counts = {"open": rows.count(), "hazardous": rows.filter(severity=Severity.HAZARDOUS).count()}
    return listing.response("visits/findings.html", counts)


def finding(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a finding."""
    rows = findings_visible_to(request.user).select_related("closed_by", "closed_visit")
    found = visible(rows, pk=pk)
    photos = list(visit_photos_visible_to(request.user).filter(finding=found))
    context = {"finding": found, "site": found.site, "photos": photos, "crumbs": site_crumbs(found.site)}
    return render(request, "visits/finding.html", context)


def finding_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record a finding without a visit."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    return _new(request, site, None, site_crumbs(site))


def finding_at_visit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record a finding at a visit, about the task that it was made from."""
    visit = changeable(request, visits_visible_to(request.user), pk=pk)
    return _new(request, visit.site, visit, visit_crumbs(visit))


def _new(request: SignedIn, site: Site, visit: Visit | None, crumbs: Crumbs) -> HttpResponseBase:
    form = FindingForm(typed(request), site=site, initial=_from_task(request, visit))
    if made := saved(form, lambda: add_finding(by=request.user, site=site, visit=visit, values=form.columns())):
        messages.success(request, "The finding is recorded.")
        return redirect("visit", visit.pk) if visit else redirect("finding", made.pk)
    answer = f"Seen at {site}. It stays open until somebody says what was done."
    return form_page(request, form, heading="New finding", answer=answer, crumbs=crumbs, save="Record the finding")


def _from_task(request: SignedIn, visit: Visit | None) -> dict[str, Any]:
    number = request.GET.get("task", "")
    task = tasks_of(visit).filter(pk=int(number)).first() if visit and number.isdecimal() else None
    if task is None:
        return {}
    about = {name: getattr(task, f"{name}_id") for name in ("place", "line", "zone")}
    return about | {"says": f"{task}: {task.found}" if task.found else ""}


def edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a finding, or only its follow-up once its report is signed."""
    found = changeable(request, findings_visible_to(request.user), pk=pk)
    form = FindingForm(typed(request), site=found.site, instance=found)
    if saved(form, lambda: edit_finding(by=request.user, finding=found, values=form.columns(), version=form.version())):
        return redirect("finding", pk)
    signed = found.visit is not None and found.visit.closed_at is not None
    answer = "Its report is signed: only follow-up and date can change." if signed else f"Seen at {found.site}."
    return form_page(request, form, heading="Edit finding", answer=answer, crumbs=site_crumbs(found.site))


def close(request: SignedIn, pk: int) -> HttpResponseBase:
    """Say what was done about a finding."""
    found = changeable(request, findings_visible_to(request.user), pk=pk)
    form = FindingDoneForm(typed(request), visits=_under_way(request, found), instance=found)
    if saved(form, lambda: _done(request, found, form)):
        messages.success(request, "The finding is closed.")
        return redirect("finding", pk)
    answer = Truncator(found.says).chars(200)
    crumbs = site_crumbs(found.site)
    return form_page(request, form, heading="Close finding", answer=answer, crumbs=crumbs, save="Close the finding")


def _under_way(request: SignedIn, found: Finding) -> Any:
    rows = visits_visible_to(request.user).filter(site=found.site_id, begun_at__isnull=False, closed_at__isnull=True)
    return rows.filter(called_off_because="")


def _done(request: SignedIn, found: Finding, form: FindingDoneForm) -> Finding:
    done, visit = form.cleaned_data["done"], form.cleaned_data["at_visit"]
    return close_finding(by=request.user, finding=found, done=done, visit=visit, version=form.version())


def open_again(request: SignedIn, pk: int) -> HttpResponseBase:
    """Open a finding again that was not done after all."""
    found = changeable(request, findings_visible_to(request.user), pk=pk)
    if request.method == "POST":
        try:
            reopen_finding(by=request.user, finding=found)
        except ValueError as refused:
            messages.error(request, f"Nothing was changed: {refused}.")
    return redirect("finding", pk)
