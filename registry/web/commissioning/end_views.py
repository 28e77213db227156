"""The end of a run: what is missing and freeze, hand over, or stop."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.planning.commissioning_queries import commissionings_visible_to
from registry.planning.finishing import freeze_commissioning, hand_over, stop_commissioning, unfinished
from registry.planning.models import Commissioning
from registry.web.access import SignedIn, changeable
from registry.web.commissioning.forms import HandOverForm, SignedFreezeForm, StopForm
from registry.web.commissioning.here import run_crumbs
from registry.web.pages import form_page
from registry.web.saving import saved, typed


def _page(
    request: SignedIn, run: Commissioning, template: str, form: SignedFreezeForm | HandOverForm, **more: Any
) -> HttpResponseBase:
    context = {"run": run, "site": run.site, "crumbs": run_crumbs(run), "form": form, **more}
    return render(request, template, context, status=422 if form.errors else 200)


def freeze(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show what is missing, and freeze with or without it."""
    run = changeable(request, commissionings_visible_to(request.user), pk=pk)
    if not run.is_working:
        return redirect("commissioning", pk)
    form = SignedFreezeForm(typed(request), initial={"reason": "Commissioning"})
    if made := saved(form, lambda: freeze_commissioning(by=request.user, commissioning=run, **form.cleaned_data)):
        messages.success(request, f"Baseline {made.number} is frozen. Hand the site over next.")
        return redirect("commissioning-hand-over", pk)
    return _page(request, run, "commissioning/freeze.html", form, missing=unfinished(run))


def handing_over(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show what is handed over, and record to whom."""
    run = changeable(request, commissionings_visible_to(request.user), pk=pk)
    if run.is_working or not run.is_open:
        return redirect("commissioning-freeze" if run.is_working else "commissioning", pk)
    form = HandOverForm(typed(request))
    if saved(form, lambda: hand_over(by=request.user, commissioning=run, **form.cleaned_data)):
        messages.success(request, "Handed over. This commissioning is closed.")
        return redirect("commissioning", pk)
    return _page(request, run, "commissioning/hand_over.html", form)


def stop(request: SignedIn, pk: int) -> HttpResponseBase:
    """Ask why, then close a run without hand-over."""
    run = changeable(request, commissionings_visible_to(request.user), pk=pk)
    if not run.is_open:
        return redirect("commissioning", pk)
    form = StopForm(typed(request))
    if saved(form, lambda: stop_commissioning(by=request.user, commissioning=run, **form.cleaned_data)):
        messages.success(request, "Stopped. What was measured stays; nothing more is recorded in this commissioning.")
        return redirect("commissioning", pk)
    answer = "What was measured and read so far stays in the register. A new commissioning starts from the first step."
    crumbs, heading = run_crumbs(run), "Stop this commissioning"
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, save="Stop it")
