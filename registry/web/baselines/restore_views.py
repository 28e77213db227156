"""Pages of a restore: start it, answer a step, read a level, sign."""

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.audio.models import Zone
from registry.audio.queries import zones_visible_to
from registry.baselines.models import Reading, Restore, RestoreStep
from registry.baselines.queries import baselines_visible_to, restores_visible_to
from registry.baselines.restoring import (
    record_all_found_right,
    record_found_right,
    record_restore_reading,
    record_step,
    sign_restore,
    start_restore,
)
from registry.equipment.models import State
from registry.web.access import SignedIn, changeable, visible
from registry.web.baselines.anchors import anchor_of
from registry.web.baselines.forms import RestoreReadingForm, SignForm, StepForm
from registry.web.baselines.restore_page import Refused, restore_page
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.saving import saved


def restore_start(request: SignedIn, pk: int) -> HttpResponseBase:
    """Open a restore to a baseline, or join the one that is open at the site."""
    baseline = changeable(request, baselines_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("baseline", pk)
    found = start_restore(by=request.user, baseline=baseline)
    if found.baseline_id != baseline.pk:
        says = f"A restore to baseline {found.baseline.number} is open here. Sign it before you start another."
        messages.warning(request, says)
    return redirect("restore", found.pk)


def restore(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a restore: to work in while it is open, to read when it is signed."""
    found = visible(restores_visible_to(request.user).select_related("signed_by"), pk=pk)
    return _page(request, found, Refused())


def _page(request: SignedIn, found: Restore, refused: Refused) -> HttpResponse:
    context = {"restore": found, "site": found.site, "crumbs": restore_crumbs(found)}
    context |= {"editable": found.is_open and request.user.may_write, **restore_page(request.user, found, refused)}
    status = 422 if refused != Refused() else 200
    return render(request, "baselines/restore.html", context, status=status)


def _refused(request: SignedIn, found: Restore, refused: Refused) -> HttpResponse:
    """Show the form again with what was typed; when somebody signed meanwhile there is no form left to show."""
    found.refresh_from_db(fields=["signed_at", "signed_by", "signature", "remarks"])
    if found.is_open:
        return _page(request, found, refused)
    messages.error(
        request, "This restore was signed meanwhile, so nothing more was recorded. Start a new one if needed."
    )
    return redirect("restore", found.pk)


def restore_crumbs(restore: Restore) -> Crumbs:
    """Return the way down to a restore."""
    baseline = restore.baseline
    return [*site_crumbs(restore.site), (f"Baseline {baseline.number}", reverse("baseline", args=[baseline.pk]))]


def _back(found: Restore, anchor: str) -> HttpResponseBase:
    return redirect(f"{reverse('restore', args=[found.pk])}#{anchor}")


def restore_step(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record what was found and done at one step."""
    found = changeable(request, restores_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("restore", pk)
    form = StepForm(request.POST)
    if step := saved(form, lambda: _answer(request, found, form)):
        return _back(found, anchor_of(step.key))
    return _refused(request, found, Refused(step=form))


def _answer(request: SignedIn, found: Restore, form: StepForm) -> RestoreStep:
    values = form.values()
    if form.cleaned_data["answer"] == "right":
        typed = {name: values[name] for name in ("key", "seen", "found")}
        return record_found_right(by=request.user, restore=found, **typed)
    return record_step(by=request.user, restore=found, **values)


def restore_group(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record that all open settings of a place or zone were found as in the baseline."""
    found = changeable(request, restores_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("restore", pk)
    subject, name = request.POST.get("subject", ""), request.POST.get("name", "")
    try:
        record_all_found_right(by=request.user, restore=found, subject=subject, name=name)
    except ValueError as refused:
        messages.error(request, f"Nothing was recorded: {refused}.")
    return _back(found, anchor_of(subject, name))


def restore_reading(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record a level of a zone, as found or as left."""
    found = changeable(request, restores_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("restore", pk)
    zone = visible(zones_visible_to(request.user), site=found.site_id, pk=_number(request.POST.get("zone")))
    form = RestoreReadingForm(request.POST)
    if made := saved(form, lambda: _read(request, found, zone, form)):
        return _back(found, f"{anchor_of('zone', zone.name)}-{made.state.replace(' ', '-')}")
    return _refused(request, found, Refused(reading=form))


def _read(request: SignedIn, found: Restore, zone: Zone, form: RestoreReadingForm) -> Reading:
    state, values = State(form.cleaned_data["state"]), form.values(without=("zone", "state"))
    return record_restore_reading(by=request.user, restore=found, zone=zone, state=state, values=values)


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 18 else 0


def restore_sign(request: SignedIn, pk: int) -> HttpResponseBase:
    """Close a restore with a name."""
    found = changeable(request, restores_visible_to(request.user), pk=pk)
    if request.method != "POST":
        return redirect("restore", pk)
    form = SignForm(request.POST)
    if saved(form, lambda: sign_restore(by=request.user, restore=found, **form.cleaned_data)):
        messages.success(request, "Signed. What was found and what was left are configuration records now.")
        return redirect("restore", pk)
    return _refused(request, found, Refused(sign=form))
