"""The first page: what needs somebody now."""

from django.http import HttpResponseBase
from django.shortcuts import render

from registry.web.access import SignedIn
from registry.web.today.concern import Concern
from registry.web.today.concerns import concerns
from sites.queries import clients_visible_to


def today(request: SignedIn) -> HttpResponseBase:
    """Show what needs somebody now."""
    found, sites = concerns(request.user)
    context = {
        "concerns": found,
        "sentence": _sentence(found, any_site=sites > 0),
        "any_site": sites > 0,
        "own_clients": [] if request.user.may_write else list(clients_visible_to(request.user)),
    }
    return render(request, "today/today.html", context)


def _sentence(found: list[Concern], *, any_site: bool) -> str:
    if not any_site:
        return "There is no site yet."
    if not found:
        return "Nothing needs you: no unsafe load, no zone out of tolerance, no open restore."
    return f"{', '.join(concern.short for concern in found if concern.short)}."
