"""The page of all visits: what is due, the calendar of a month, and the list."""

from django.http import HttpResponseBase
from django.utils import timezone

from registry.visits.queries import visits_visible_to
from registry.web.access import SignedIn
from registry.web.exports import export_asked
from registry.web.lists import Listing
from registry.web.visit_plans.columns import VISIT_COLUMNS, VisitFilter
from registry.web.visit_plans.month import month_asked
from registry.web.visit_plans.visits_page import visits_page


def visits(request: SignedIn) -> HttpResponseBase:
    """Show what is due, a month, and all visits, as far as the filter lets them."""
    today = timezone.localdate()
    found = visits_visible_to(request.user)
    listing = Listing(request, found, VISIT_COLUMNS, name="visits", filterset=VisitFilter)
    first = month_asked(request.GET.get("month", ""), today)
    context = {} if export_asked(request) else visits_page(request.user, listing, first, today)
    return listing.response("visit_plans/visits.html", context)
