"""The visit of a call, notes, and its end."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from registry.visits.call_work import send_visit
from registry.visits.calling import close_call, note_call
from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.access import SignedIn, changeable
from registry.web.calls.call_page import call_crumbs
from registry.web.calls.forms import CallVisitForm, CloseCallForm, NoteForm
from registry.web.pages import form_page
from registry.web.saving import saved, status_of, typed


def visit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Send somebody: schedule the visit of a call, or begin it now."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if request.method == "POST" and "begin" in request.POST:
        return _begun(request, found)
    form = CallVisitForm(typed(request), asks=request.user, site=found.site, initial={"tech": request.user.pk})
    if made := saved(form, lambda: send_visit(by=request.user, call=found, **form.cleaned_data)):
        messages.success(request, f"Visit {made.title} is scheduled.")
        return redirect("call", pk)
    answer = "The visit has a level to read in each zone that the call is about, as found before anything is touched."
    return form_page(
        request, form, heading="Send somebody", answer=answer, crumbs=call_crumbs(found), save="Schedule the visit"
    )


def _begun(request: SignedIn, call: ServiceCall) -> HttpResponseBase:
    try:
        made = send_visit(by=request.user, call=call, starts_at=timezone.now(), tech=request.user, begin=True)
    except ValueError as refused:
        messages.error(request, f"Nothing was begun: {refused}.")
        return redirect("call", call.pk)
    return redirect("visit", made.pk)


def note(request: SignedIn, pk: int) -> HttpResponseBase:
    """Add a note, also to a closed call."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    form = NoteForm(typed(request))
    if saved(form, lambda: note_call(by=request.user, call=found, says=form.cleaned_data["says"])):
        return redirect("call", pk)
    answer = "For us: owners don't read notes. What is written stays."
    return form_page(request, form, heading="Note", answer=answer, crumbs=call_crumbs(found), save="Add the note")


def close(request: SignedIn, pk: int) -> HttpResponseBase:
    """Close a call with what it was."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if not found.is_open:
        messages.error(request, "This call is closed already.")
        return redirect("call", pk)
    form = CloseCallForm(typed(request), instance=found, site=found.site, initial=_proposed(found))
    if saved(form, lambda: close_call(by=request.user, call=found, **form.edited())):
        messages.success(request, "The call is closed. It stays as it is; what becomes known later is a note.")
        return redirect("call", pk)
    context = {"call": found, "site": found.site, "form": form, "crumbs": call_crumbs(found)}
    return render(request, "calls/close.html", context, status=status_of(form))


def _proposed(call: ServiceCall) -> dict[str, object]:
    """A closed visit says how long it took and when it ended."""
    if call.visit is not None and call.visit.closed_at is not None:
        return {"minutes": call.visit.minutes, "restored_at": call.visit.closed_at}
    return {"restored_at": timezone.now().replace(second=0, microsecond=0)}
