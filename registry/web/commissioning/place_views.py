"""The page of an amplifier or endpoint in a run: the power-cut test."""

from django.http import HttpResponseBase

from registry.equipment.models import ConfigurationRecord
from registry.equipment.queries import places_visible_to
from registry.planning.commissioning import record_power_cut
from registry.planning.sequence import Subject
from registry.web.access import SignedIn, visible
from registry.web.commissioning.forms import PowerCutForm
from registry.web.commissioning.here import Here, back_to, here, here_to_write
from registry.web.commissioning.stop_pages import show
from registry.web.saving import saved


def place(request: SignedIn, pk: int, place: int) -> HttpResponseBase:
    """Show what a unit did in the power-cut test, or record it."""
    if request.method != "POST":
        return show(request, here(request, pk, Subject.PLACE, place))
    at = here_to_write(request, pk, Subject.PLACE, place)
    form = PowerCutForm(request.POST)
    if saved(form, lambda: _tested(request, at, form)):
        return back_to(at.run, at.stop, "power cut")
    return show(request, at, {"power-cut": form})


def _tested(request: SignedIn, at: Here, form: PowerCutForm) -> ConfigurationRecord:
    found = visible(places_visible_to(request.user), pk=at.stop.pk)
    return record_power_cut(by=request.user, commissioning=at.run, place=found, **form.cleaned_data)
