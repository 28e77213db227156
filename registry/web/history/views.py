"""The log of all writes, filtered to a site, a person, a thing or a stretch of time."""

from django.http import HttpResponseBase

from registry.web.access import SignedIn, writer
from registry.web.exports import export_asked
from registry.web.history.listed import COLUMNS, WHEN, WHEN_EXPORTED, HistoryFilter
from registry.web.lists import Listing
from sites.history_reading import history_visible_to, tell


@writer
def history(request: SignedIn) -> HttpResponseBase:
    """List who changed what, when and from where."""
    rows = history_visible_to(request.user)
    columns = (WHEN_EXPORTED if export_asked(request) else WHEN, *COLUMNS)
    listing = Listing(request, rows, columns, name="history", filterset=HistoryFilter, prepare=tell)
    return listing.response("history/history.html")
