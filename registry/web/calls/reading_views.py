"""What is read for a call: a level at a spot, an impedance at the terminals; the faults are ranked anew."""

from typing import Any

from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.visits.call_work import measure_for_call, read_for_call
from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.access import SignedIn, changeable
from registry.web.calls.call_views import again, show_again
from registry.web.calls.forms import CallImpedanceForm, CallLevelForm
from registry.web.saving import saved, status_of


def level(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record the level of a zone as found."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("call", pk)
    zones = zones_visible_to(request.user).filter(site=found.site_id).order_by("name")
    form = CallLevelForm(request.POST, zones=zones, auto_id="level-%s")
    done = saved(form, lambda: read_for_call(by=request.user, call=found, **_of(form, "zone")))
    return _shown(request, found, "level", form, done)


def impedance(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record the impedance of a line."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("call", pk)
    lines = lines_visible_to(request.user).filter(site=found.site_id).order_by("name")
    form = CallImpedanceForm(request.POST, lines=lines, auto_id="impedance-%s")
    done = saved(form, lambda: measure_for_call(by=request.user, call=found, **_of(form, "line")))
    return _shown(request, found, "impedance", form, done)


def _of(form: Any, about: str) -> dict[str, Any]:
    return {about: form.cleaned_data[about], "values": form.values(without=(about,))}


def _shown(request: SignedIn, call: ServiceCall, name: str, form: Any, done: object) -> HttpResponseBase:
    if done is not None:
        return show_again(request, again(request, call.pk))
    if not call.is_open:
        return redirect("call", call.pk)
    return show_again(request, call, {name: form}, status_of(form))
