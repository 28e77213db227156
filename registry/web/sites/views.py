"""Pages of clients and sites."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.visits.queries import visit_plans_of_client
from registry.web.access import SignedIn, changeable, visible, writer
from registry.web.crumbs import client_crumbs, clients_crumbs, site_crumbs
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from registry.web.sites.filters import (
    CLIENT_COLUMNS,
    SITE_COLUMNS,
    SITE_COLUMNS_OF_CLIENT,
    ClientFilter,
    SiteFilter,
    listed_clients,
    listed_sites,
    order_sentence,
)
from registry.web.sites.forms import ClientForm, SiteForm
from registry.web.sites.site_page import site_page, sites_to_show
from sites.actions import save_site
from sites.editing import add_client, add_site, save_client
from sites.models import YesNoUnknown
from sites.queries import clients_visible_to, sites_visible_to


def clients(request: SignedIn) -> HttpResponseBase:
    """List clients."""
    listing = Listing(request, listed_clients(request.user), CLIENT_COLUMNS, name="clients", filterset=ClientFilter)
    sentence = order_sentence(request.user, listing.queryset, "client", is_all=not listing.is_filtered)
    return listing.response("sites/clients.html", {"sentence": sentence})


def sites(request: SignedIn) -> HttpResponseBase:
    """List sites of all clients."""
    listing = Listing(request, listed_sites(request.user), SITE_COLUMNS, name="sites", filterset=SiteFilter)
    sentence = order_sentence(request.user, listing.queryset, "site", is_all=not listing.is_filtered)
    return listing.response("sites/sites.html", {"sentence": sentence, "crumbs": clients_crumbs()})


def client(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a client and its sites."""
    found = visible(clients_visible_to(request.user), pk=pk)
    sites = listed_sites(request.user).filter(client=found)
    listing = Listing(request, sites, SITE_COLUMNS_OF_CLIENT, name=f"sites {found}")
    sentence = order_sentence(request.user, listing.queryset, "site", is_all=False)
    context = {"client": found, "plans": visit_plans_of_client(request.user, found), "sentence": sentence}
    return listing.response("sites/client.html", context | {"crumbs": clients_crumbs()})


@writer
def client_new(request: SignedIn) -> HttpResponseBase:
    """Record a client."""
    form = ClientForm(typed(request))
    if made := saved(form, lambda: add_client(by=request.user, values=form.values())):
        messages.success(request, f"Client {made} is recorded.")
        return redirect("client", made.pk)
    answer = "A client is the business that pays. Its sites come next."
    return form_page(request, form, heading="New client", answer=answer, crumbs=clients_crumbs(), save="Record client")


def client_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a client."""
    found = changeable(request, clients_visible_to(request.user), pk=pk)
    form = ClientForm(typed(request), instance=found)
    if made := saved(form, lambda: save_client(by=request.user, client=found, **form.edited())):
        messages.success(request, f"Client {made} is saved.")
        return redirect("client", made.pk)
    answer = "What was there before stays in its history."
    return form_page(request, form, heading=f"Edit {found}", answer=answer, crumbs=client_crumbs(found))


def site_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record a site of a client."""
    found = changeable(request, clients_visible_to(request.user), pk=pk)
    form = SiteForm(typed(request))
    if made := saved(form, lambda: add_site(by=request.user, client=found, values=form.values())):
        messages.success(request, f"Site {made} is recorded. Record its spaces and racks, or import a survey.")
        return redirect("site", made.code)
    answer = f"One address of {found}. The code stands on labels and in surveys."
    crumbs = client_crumbs(found)
    return form_page(request, form, heading="New site", answer=answer, crumbs=crumbs, save="Record site")


def site(request: SignedIn, code: str) -> HttpResponseBase:
    """Show a site."""
    found = visible(sites_to_show(request.user), code=code)
    context = {"site": found, "crumbs": client_crumbs(found.client), **site_page(request.user, found)}
    return render(request, "sites/site.html", context)


def site_edit(request: SignedIn, code: str) -> HttpResponseBase:
    """Change a site."""
    found = changeable(request, sites_visible_to(request.user), code=code)
    form = SiteForm(typed(request), instance=found)
    if made := saved(form, lambda: save_site(by=request.user, site=found, **form.edited())):
        messages.success(request, f"Site {made} is saved.")
        return redirect("site", made.code)
    answer = "What was there before stays in its history; the site stays with its client."
    crumbs = site_crumbs(found)
    cautions = [] if found.voice_alarm == YesNoUnknown.NO else ["life-safety"]
    return form_page(request, form, heading=f"Edit {found}", answer=answer, crumbs=crumbs, cautions=cautions)
