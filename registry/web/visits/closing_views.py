"""Closing a visit, and what is added after that."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from registry.visits.closing import add_addendum, close_visit, unfinished
from registry.visits.models import Visit
from registry.visits.queries import visits_visible_to
from registry.web.access import SignedIn, changeable
from registry.web.pages import form_page
from registry.web.saving import saved, status_of, typed
from registry.web.visits.forms import AddendumForm, CloseForm
from registry.web.visits.views import visit_crumbs


def close(request: SignedIn, pk: int) -> HttpResponseBase:
    """Close a visit with its outcome, a sentence and a name."""
    found = changeable(request, visits_visible_to(request.user), pk=pk)
    if not found.is_open:
        messages.error(request, "This visit is closed already.")
        return redirect("visit", pk)
    form = CloseForm(typed(request), instance=found, initial=_proposed(request, found))
    if saved(form, lambda: close_visit(by=request.user, visit=found, values=form.values())):
        messages.success(request, "Closed and signed. The report is ready; nothing of the visit changes any more.")
        return redirect("visit-report", pk)
    context = {"visit": found, "form": form, "open_tasks": unfinished(found), "crumbs": visit_crumbs(found)}
    return render(request, "visits/close.html", context, status=status_of(form))


def _proposed(request: SignedIn, visit: Visit) -> dict[str, object]:
    proposed: dict[str, object] = {"signature": request.user.get_full_name()}
    if visit.minutes is None and visit.begun_at is not None:
        minutes = round((timezone.now() - visit.begun_at).total_seconds() / 60)
        proposed["minutes"] = max(1, min(minutes, 1440))
    return proposed


def addendum(request: SignedIn, pk: int) -> HttpResponseBase:
    """Add to a closed visit what was forgotten."""
    found = changeable(request, visits_visible_to(request.user), pk=pk)
    form = AddendumForm(typed(request))
    if saved(form, lambda: add_addendum(by=request.user, visit=found, says=form.cleaned_data["says"])):
        return redirect("visit", pk)
    answer = "The visit stays as it was signed; this stands below it."
    return form_page(request, form, heading="Addendum", answer=answer, crumbs=visit_crumbs(found), save="Add")
