"""Pages of spaces and racks."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import site_crumbs
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from registry.web.sites.forms import RackForm, SpaceForm
from registry.web.sites.rack_page import rack_page
from sites.editing import add_rack, add_space, save_rack, save_space
from sites.queries import racks_visible_to, sites_visible_to, spaces_visible_to

RACK_CAUTIONS = ("mains", "lifting")


def space_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record a space of a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = SpaceForm(typed(request))
    if made := saved(form, lambda: add_space(by=request.user, site=site, values=form.values())):
        messages.success(request, f"Space {made} is recorded.")
        return redirect("site", code)
    answer = "A room or an outdoor area. The ceiling height decides how far loudspeakers may be apart."
    crumbs = site_crumbs(site)
    return form_page(request, form, heading="New space", answer=answer, crumbs=crumbs, save="Record space")


def space_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a space."""
    space = changeable(request, spaces_visible_to(request.user), pk=pk)
    form = SpaceForm(typed(request), instance=space)
    if made := saved(form, lambda: save_space(by=request.user, space=space, **form.edited())):
        messages.success(request, f"Space {made} is saved.")
        return redirect("site", space.site.code)
    answer = "What was there before stays in its history."
    return form_page(request, form, heading=f"Edit {space}", answer=answer, crumbs=site_crumbs(space.site))


def rack_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record a rack of a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = RackForm(typed(request), site=site)
    if made := saved(form, lambda: add_rack(by=request.user, site=site, values=form.values())):
        messages.success(request, f"Rack {made} is recorded.")
        return redirect("rack", made.pk)
    answer = "Leave empty what nobody has looked up: unknown is better than a guess."
    crumbs = site_crumbs(site)
    return form_page(
        request, form, heading="New rack", answer=answer, crumbs=crumbs, save="Record rack", cautions=RACK_CAUTIONS
    )


def rack(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a rack."""
    found = visible(racks_visible_to(request.user), pk=pk)
    context = {"rack": found, "crumbs": site_crumbs(found.site), **rack_page(request.user, found)}
    return render(request, "sites/rack.html", context)


def rack_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a rack."""
    found = changeable(request, racks_visible_to(request.user), pk=pk)
    form = RackForm(typed(request), instance=found, site=found.site)
    if made := saved(form, lambda: save_rack(by=request.user, rack=found, **form.edited())):
        messages.success(request, f"Rack {made} is saved.")
        return redirect("rack", made.pk)
    answer = "Leave empty what nobody has looked up: unknown is better than a guess."
    crumbs = site_crumbs(found.site)
    return form_page(request, form, heading=f"Edit {found}", answer=answer, crumbs=crumbs, cautions=RACK_CAUTIONS)
