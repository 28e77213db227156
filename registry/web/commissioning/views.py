"""Pages of a run: the runs of a site, start, the overview, the reference track, and what could not be done."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.planning.answers import say_could_not
from registry.planning.commissioning import set_track, start_commissioning
from registry.planning.commissioning_queries import commissionings_visible_to
from registry.planning.models import Commissioning
from registry.planning.sequence import Subject
from registry.web.access import SignedIn, changeable, visible
from registry.web.commissioning.forms import CouldNotForm, TrackForm
from registry.web.commissioning.here import back_to, here, here_at_step, here_to_write, run_crumbs
from registry.web.commissioning.overview_page import overview_page
from registry.web.commissioning.stop_pages import show
from registry.web.crumbs import site_crumbs
from registry.web.saving import saved
from sites.queries import sites_visible_to


def commissionings(request: SignedIn, code: str) -> HttpResponseBase:
    """Show the runs of a site, and start the next one."""
    site = visible(sites_visible_to(request.user), code=code)
    runs = list(commissionings_visible_to(request.user).filter(site=site))
    context = {"site": site, "runs": runs, "crumbs": site_crumbs(site)}
    context["open_run"] = next((run for run in runs if run.is_open), None)
    return render(request, "commissioning/commissionings.html", context)


def start(request: SignedIn, code: str) -> HttpResponseBase:
    """Open a run, or join the one that is open."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    if request.method != "POST":
        return redirect("commissionings", code)
    return redirect("commissioning", start_commissioning(by=request.user, site=site).pk)


def commissioning(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show how far a run is, where somebody was, and where to go on."""
    run = visible(commissionings_visible_to(request.user), pk=pk)
    context = {"run": run, "site": run.site, "crumbs": run_crumbs(run)[:-1], **overview_page(request.user, run)}
    return render(request, "commissioning/commissioning.html", context)


def track(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show the reference track, or record it."""
    if request.method != "POST":
        return show(request, here(request, pk, Subject.TRACK))
    at = here_to_write(request, pk, Subject.TRACK)
    form = TrackForm(request.POST, request.FILES, instance=at.run)
    if made := saved(form, lambda: _tracked(request, at.run, form)):
        messages.success(request, f"{made.track_name} is the reference track of this commissioning.")
        return back_to(at.run, at.stop, "file and level")
    return show(request, at, {"track": form})


def _tracked(request: SignedIn, run: Commissioning, form: TrackForm) -> Commissioning:
    values = form.values(without=("file", "seen"))
    return set_track(by=request.user, commissioning=run, values=values, seen=form.cleaned_data["seen"])


def could_not(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record why a step could not be done."""
    found = here_at_step(request, pk, request.POST.get("key", ""))
    if found is None:
        return redirect("commissioning", pk)
    at, step = found
    form = CouldNotForm(request.POST)
    if saved(form, lambda: say_could_not(by=request.user, commissioning=at.run, **form.cleaned_data)):
        return back_to(at.run, at.stop, step.word)
    return show(request, at, {step.key: form})
