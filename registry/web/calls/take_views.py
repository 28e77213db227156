"""Taking a call, and correcting what was taken."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Zone
from registry.audio.queries import loudspeakers_visible_to, zones_visible_to
from registry.visits.calling import edit_call, take_call
from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.access import SignedIn, changeable, writer
from registry.web.calls.call_page import call_crumbs
from registry.web.calls.take_forms import EditCallForm, TakeCallForm, WhichSiteForm
from registry.web.crumbs import site_crumbs
from registry.web.pages import form_page
from registry.web.saving import saved, status_of, typed
from sites.models import Site
from sites.queries import sites_visible_to


@writer
def call_new(request: SignedIn) -> HttpResponseBase:
    """Ask which site the call is about."""
    sites = sites_visible_to(request.user).select_related("client").order_by("name", "client__name")
    form = WhichSiteForm(typed(request), sites=sites)
    if form.is_valid():
        return redirect("site-call-new", form.cleaned_data["site"].code)
    answer = "Which site is it about? The page after this one asks what they say."
    crumbs = [("Service calls", reverse("calls"))]
    return form_page(request, form, heading="Take a call", answer=answer, crumbs=crumbs, save="Go on")


def site_call_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Take a call about a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = _take_form(request, site)
    if made := saved(form, lambda: _taken(request, site, form)):
        messages.success(request, "The call is taken.")
        return redirect("call", made.pk)
    context = {"site": site, "form": form, "crumbs": site_crumbs(site)}
    return render(request, "calls/take.html", context, status=status_of(form))


def _take_form(request: SignedIn, site: Site) -> TakeCallForm:
    zones = list(zones_visible_to(request.user).filter(site=site).order_by("name"))
    loudspeakers = loudspeakers_visible_to(request.user).filter(site=site).order_by("label")
    initial = {f"zone-{request.GET['zone']}": "concerned"} if request.GET.get("zone", "").isdecimal() else {}
    labels = [each.label for each in loudspeakers]
    return TakeCallForm(typed(request), site=site, zones=zones, labels=labels, initial=initial)


def _taken(request: SignedIn, site: Site, form: TakeCallForm) -> ServiceCall:
    called_at = form.cleaned_data["called_at"]
    return take_call(
        by=request.user,
        site=site,
        values=form.told(),
        called_at=called_at,
        zones=form.concerned(),
        said=form.said(),
        answered_at=max(timezone.now(), called_at) if form.cleaned_data["answered"] else None,
    )


def call_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Correct who called and what they said."""
    found = changeable(request, calls_visible_to(request.user), pk=pk)
    if not found.is_open:
        messages.error(request, "This call is closed and stays as it is: add a note instead.")
        return redirect("call", pk)
    zones = list(zones_visible_to(request.user).filter(site=found.site_id).order_by("name"))
    form = EditCallForm(typed(request), instance=found, zones=zones)
    if saved(form, lambda: _edited(request, found, form, zones)):
        return redirect("call", pk)
    answer = "What is said of a zone is changed on the call's page; this is who, when and in which words."
    return form_page(request, form, heading="Edit call", answer=answer, crumbs=call_crumbs(found))


def _edited(request: SignedIn, call: ServiceCall, form: EditCallForm, zones: list[Zone]) -> Any:
    chosen = [zone for zone in zones if zone.pk in form.cleaned_data["zones"]]
    return edit_call(by=request.user, call=call, values=form.told(), zones=chosen, version=form.version())
