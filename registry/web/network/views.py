"""Pages of a site's network: the newest sweep, taking one in, and recording an address that was seen."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from registry.equipment.queries import items_visible_to
from registry.equipment.site_network import network_of
from registry.equipment.sweep_queries import sweep_of_file, sweeps_with_counts
from registry.equipment.sweeps import record_seen_address, record_sweep
from registry.exchange.network_sweep import ReadSweep, columns_in_words, read_sweep
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.exchange import waiting
from registry.web.network.forms import SweepForm
from registry.web.network.network_page import match_context, newest_sweep, unknown_hosts
from registry.web.saving import typed
from sites.models import Site
from sites.queries import sites_visible_to


def site_network(request: SignedIn, code: str) -> HttpResponseBase:
    """Show the newest sweep of a site against the register."""
    site = visible(sites_visible_to(request.user), code=code)
    context = {"site": site, "crumbs": site_crumbs(site), **newest_sweep(request.user, site, network_of(site))}
    context["sweeps"] = list(sweeps_with_counts(request.user, site))
    if "match" in context:
        context["unknown"] = unknown_hosts(request.user, site, context["match"])
    return render(request, "network/site_network.html", context)


def sweep_import(request: SignedIn, code: str) -> HttpResponseBase:
    """Take a file of hosts and go on to the preview; nothing is recorded yet."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = SweepForm(typed(request), request.FILES or None, site=site)
    if form.is_valid() and form.read:
        digest = waiting.keep(request.user, {form.read.source: form.content})
        at = form.cleaned_data["at"]
        query = f"?at={at.astimezone(site.zone_info):%Y-%m-%dT%H:%M}" if at else ""
        return redirect(reverse("sweep-preview", args=[site.code, digest]) + query)
    context = {"site": site, "form": form, "columns": list(columns_in_words()), "crumbs": _crumbs(site)}
    return render(request, "network/sweep_import.html", context, status=422 if form.errors else 200)


def sweep_preview(request: SignedIn, code: str, digest: str) -> HttpResponseBase:
    """Show what a sweep says against the register, and record it when that is confirmed."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    read = _waiting(request, site, digest)
    if read is None:
        messages.error(request, "This upload is not kept any more: choose the file again. Nothing was recorded.")
        return redirect("sweep-import", site.code)
    if request.method == "POST":
        return _accept(request, site, read, digest)
    context = match_context(network_of(site), read.hosts)
    context |= {"unknown": unknown_hosts(request.user, site, context["match"]), "read": read}
    context |= {"site": site, "crumbs": _crumbs(site), "known": sweep_of_file(request.user, site, read.sha256)}
    return render(request, "network/sweep_preview.html", context)


def _waiting(request: SignedIn, site: Site, digest: str) -> ReadSweep | None:
    files = waiting.kept(request.user, digest) or {}
    for name, content in files.items():
        try:
            return read_sweep(name, content, site=site, at=_moment(request.GET, site))
        except ValueError:
            return None
    return None


def _moment(query: QueryDict, site: Site) -> datetime | None:
    text = query.get("at")
    return datetime.fromisoformat(text).replace(tzinfo=site.zone_info) if text else None


def _accept(request: SignedIn, site: Site, read: ReadSweep, digest: str) -> HttpResponseBase:
    swept = record_sweep(by=request.user, site=site, source=read.source, sha256=read.sha256, hosts=read.hosts)
    waiting.forget(request.user, digest)
    if swept.again:
        messages.info(request, "This very file was accepted before: nothing changed.")
    else:
        messages.success(request, f"{len(read.hosts)} hosts are recorded as seen. No address in the register changed.")
    return redirect("site-network", site.code)


def _crumbs(site: Site) -> Crumbs:
    return [*site_crumbs(site), ("Network", reverse("site-network", args=[site.code]))]


@require_POST
def item_seen_address(request: SignedIn, pk: int) -> HttpResponseBase:
    """Make the address at which an item was last seen the one that the register says."""
    item = changeable(request, items_visible_to(request.user), pk=pk)
    try:
        place = record_seen_address(by=request.user, item=item, ip=request.POST.get("ip", ""))
        messages.success(request, f"The register now says {place.ip} for {place}. The history keeps the one before.")
    except ValueError as refused:
        messages.error(request, str(refused))
    if request.POST.get("back") == "network":
        return redirect("site-network", item.site.code)
    return redirect("item", item.pk)
