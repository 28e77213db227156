"""The list of calls, and what they cost."""

from django.http import HttpResponseBase
from django.utils import timezone

from registry.visits.queries import calls_visible_to
from registry.visits.repeats import call_figures
from registry.web.access import SignedIn
from registry.web.calls.call_list import CallFilter, call_rows, columns_for
from registry.web.exports import export_asked
from registry.web.lists import Listing


def calls(request: SignedIn) -> HttpResponseBase:
    """List calls, open ones first; those who work with them see the figures of the year too."""
    exported = bool(export_asked(request))
    columns = columns_for(request.user, exported=exported)
    listing = Listing(request, call_rows(request.user), columns, name="calls", filterset=CallFilter)
    context: dict[str, object] = {}
    if not exported:
        found = calls_visible_to(request.user)
        context["open"] = found.filter(closed_at__isnull=True).count()
        if request.user.may_write:
            context["figures"] = call_figures(found, now=timezone.now())
    return listing.response("calls/calls.html", context)
