"""Pages of a zone in a run: spot, as found, the wanted level, trials, and the one that is accepted."""

from collections.abc import Callable
from typing import TypeVar

from django.forms import BaseForm
from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.models import Zone
from registry.audio.queries import zones_visible_to
from registry.baselines.models import Reading
from registry.planning.commissioning import mark_spot, record_as_found
from registry.planning.models import Trial
from registry.planning.sequence import Subject
from registry.planning.zone_matching import accept_trial, record_trial, want_level
from registry.web.access import SignedIn, visible
from registry.web.commissioning.forms import AcceptForm, CommissioningReadingForm, SpotForm, WantedForm
from registry.web.commissioning.here import Here, back_to, here, here_to_write
from registry.web.commissioning.stop_pages import show
from registry.web.saving import saved

F = TypeVar("F", bound=BaseForm)


def zone(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Show what is read and matched in a zone."""
    return show(request, here(request, pk, Subject.ZONE, zone))


def _recorded(
    request: SignedIn,
    at: Here,
    word: str,
    form: dict[str, F],
    action: Callable[[F, Zone], object],
) -> HttpResponseBase:
    """Run the action with the only form and lead back to its step, or show the form again."""
    ((_, sent),) = form.items()
    zone = visible(zones_visible_to(request.user), pk=at.stop.pk)
    if saved(sent, lambda: action(sent, zone)):
        return back_to(at.run, at.stop, word)
    return show(request, at, form)


def spot(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Record where a zone is read."""
    at = here_to_write(request, pk, Subject.ZONE, zone)
    if request.method != "POST":
        return redirect("commissioning-zone", pk, zone)

    def mark(form: SpotForm, zone: Zone) -> Zone:
        return mark_spot(by=request.user, commissioning=at.run, zone=zone, **form.cleaned_data)

    return _recorded(request, at, "spot", {"spot_form": SpotForm(request.POST)}, mark)


def as_found(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Record a level as found."""
    at = here_to_write(request, pk, Subject.ZONE, zone)
    if request.method != "POST":
        return redirect("commissioning-zone", pk, zone)

    def read(form: CommissioningReadingForm, zone: Zone) -> Reading:
        values = form.values(without=("seen",)) | {"spot": zone.spot}
        seen = form.cleaned_data["seen"]
        return record_as_found(by=request.user, commissioning=at.run, zone=zone, values=values, seen=seen)

    return _recorded(request, at, "as found", {"found_form": CommissioningReadingForm(request.POST)}, read)


def wanted(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Record the wanted level."""
    at = here_to_write(request, pk, Subject.ZONE, zone)
    if request.method != "POST":
        return redirect("commissioning-zone", pk, zone)

    def want(form: WantedForm, zone: Zone) -> object:
        return want_level(by=request.user, commissioning=at.run, zone=zone, wanted_db=form.cleaned_data["wanted_db"])

    return _recorded(request, at, "as left", {"wanted_form": WantedForm(request.POST)}, want)


def trial(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Record a level that was read after setting cap and dial."""
    at = here_to_write(request, pk, Subject.ZONE, zone)
    if request.method != "POST":
        return redirect("commissioning-zone", pk, zone)

    def read(form: CommissioningReadingForm, zone: Zone) -> Trial:
        values, seen = form.values(without=("seen",)), form.cleaned_data["seen"]
        number = int(seen) if seen.isdecimal() else 0
        return record_trial(by=request.user, commissioning=at.run, zone=zone, values=values, seen=number)

    return _recorded(request, at, "as left", {"trial_form": CommissioningReadingForm(request.POST)}, read)


def accept(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Take the last reading as how the zone is left."""
    at = here_to_write(request, pk, Subject.ZONE, zone)
    if request.method != "POST":
        return redirect("commissioning-zone", pk, zone)

    def take(form: AcceptForm, zone: Zone) -> Reading:
        read = visible(at.run.trials.all(), zone=zone, pk=form.cleaned_data["trial"])
        return accept_trial(by=request.user, commissioning=at.run, trial=read, seen=form.cleaned_data["seen"])

    return _recorded(request, at, "as left", {"accept_form": AcceptForm(request.POST)}, take)
