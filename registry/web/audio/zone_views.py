"""Pages of zones."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.models import Zone
from registry.audio.queries import zones_visible_to
from registry.baselines.zones import add_zone, save_zone
from registry.web.access import SignedIn, changeable, visible
from registry.web.audio.filters import ZONE_COLUMNS, ZoneFilter, listed_zones, zone_page_of
from registry.web.audio.forms import ZoneForm
from registry.web.audio.reading_columns import reading_columns
from registry.web.audio.zone_page import history_rows, zone_page
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.exports import export_asked
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.queries import sites_visible_to


def zones(request: SignedIn) -> HttpResponseBase:
    """List zones of all sites."""
    listing = Listing(request, listed_zones(request.user), ZONE_COLUMNS, name="zones", filterset=ZoneFilter)
    return listing.response("audio/zones.html")


def zone(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a zone; the export holds its readings."""
    found = visible(zones_visible_to(request.user), pk=pk)
    columns = reading_columns(exported=bool(export_asked(request)), may_write=request.user.may_write)
    listing = Listing(request, history_rows(request.user, found), columns, name=f"readings {found}")
    context = {"zone": found, "site": found.site, "crumbs": site_crumbs(found.site), **zone_page(request.user, found)}
    return listing.response("audio/zone.html", context)


def zone_crumbs(zone: Zone) -> Crumbs:
    """Return the way down to a zone."""
    return [*site_crumbs(zone.site), (zone.name, zone_page_of(zone))]


def zone_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record a zone of a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = ZoneForm(typed(request), site=site)
    if made := saved(form, lambda: add_zone(by=request.user, site=site, values=form.values())):
        messages.success(request, f"Zone {made} is recorded. Read its level at the spot next.")
        return redirect("zone", made.pk)
    answer = "Loudspeakers that are meant to play the same at the same level, and one marked spot to read it at."
    crumbs = site_crumbs(site)
    return form_page(request, form, heading="New zone", answer=answer, crumbs=crumbs, save="Record zone")


def zone_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a zone."""
    found = changeable(request, zones_visible_to(request.user), pk=pk)
    form = ZoneForm(typed(request), instance=found, site=found.site)
    if made := saved(form, lambda: save_zone(by=request.user, zone=found, **form.edited())):
        messages.success(request, f"Zone {made} is saved.")
        return redirect("zone", made.pk)
    answer = "What was there before stays in its history. Baselines stay as they were frozen."
    return form_page(request, form, heading=f"Edit {found}", answer=answer, crumbs=zone_crumbs(found))
