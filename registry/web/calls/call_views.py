"""The page of a call, and what is said while it is open."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.visits.calling import answer_call, note_change, say, unsay
from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.access import SignedIn, changeable, visible
from registry.web.calls.call_page import call_crumbs, call_page, call_part
from registry.web.calls.forms import SaidForm
from registry.web.crumbs import site_crumbs
from registry.web.planning.fold_views import asks_for_part


def call(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a call: to work with, or to its owner what was said and what it was."""
    found = visible(calls_visible_to(request.user).select_related("closed_by"), pk=pk)
    context: dict[str, Any] = {"call": found, "site": found.site, "crumbs": site_crumbs(found.site)}
    if not request.user.may_write:
        return render(request, "calls/call_for_owner.html", context)
    return render(request, "calls/call.html", context | call_page(request.user, found))


def show_again(
    request: SignedIn, call: ServiceCall, refused: dict[str, Any] | None = None, status: int = 200
) -> HttpResponseBase:
    """Show what an answer has changed: the part alone when htmx asks, else the page."""
    if asks_for_part(request):
        part = call_part(request.user, call, refused) | {"by_itself": True}
        return render(request, "calls/part.html", part, status=status)
    if refused is None:
        return redirect(f"{reverse('call', args=[call.pk])}#suspects")
    context = call_page(request.user, call, refused) | {"crumbs": call_crumbs(call)[:-1]}
    return render(request, "calls/call.html", context, status=status)


def again(request: SignedIn, pk: int) -> ServiceCall:
    """Return a call as it stands after a write."""
    return visible(calls_visible_to(request.user), pk=pk)


def _about_saying(request: SignedIn, pk: int, action: Any) -> HttpResponseBase:
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("call", pk)
    form = SaidForm(request.POST)
    try:
        if form.is_valid():
            action(by=request.user, call=found, said=form.said)
        else:
            messages.error(request, "Nothing was noted: choose how it is there.")
    except ValueError as refused:
        messages.error(request, f"Nothing was noted: {refused}.")
    return show_again(request, again(request, pk))


def said(request: SignedIn, pk: int) -> HttpResponseBase:
    """Note how it is at one place; the faults are ranked anew."""
    return _about_saying(request, pk, say)


def unsaid(request: SignedIn, pk: int) -> HttpResponseBase:
    """Take back what was noted of one place."""
    return _about_saying(request, pk, unsay)


def changed(request: SignedIn, pk: int) -> HttpResponseBase:
    """Note what changed before the call, as their words seem to say."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if request.method == "POST":
        try:
            note_change(by=request.user, call=found, change=request.POST.get("change", ""))
        except ValueError as refused:
            messages.error(request, f"Nothing was noted: {refused}.")
    return redirect("call", pk)


def answered(request: SignedIn, pk: int) -> HttpResponseBase:
    """Note that somebody has called back."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if request.method == "POST":
        try:
            answer_call(by=request.user, call=found)
        except ValueError as refused:
            messages.error(request, f"Nothing was noted: {refused}.")
    return redirect("call", pk)
