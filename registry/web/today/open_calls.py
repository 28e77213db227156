"""Calls that wait for an end, for the first page."""

from datetime import timedelta

from django.urls import reverse
from django.utils import timezone
from django.utils.text import Truncator

from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.sites.sentences import number_of
from registry.web.today.concern import Asked, Row
from sites.models import User


def open_calls(user: User) -> Asked:
    """Return the calls that are open, the oldest first: somebody has been waiting longest there."""
    return Asked(
        heading="Open calls",
        short=lambda numbers: number_of(numbers["calls"], "open call"),
        rows=calls_visible_to(user).filter(closed_at__isnull=True).order_by("called_at", "pk"),
        as_row=lambda call: Row(Truncator(call.says).chars(80), reverse("call", args=[call.pk]), call.site, _why(call)),
        all_href=f"{reverse('calls')}?state=open",
    )


def _why(call: ServiceCall) -> str:
    hours = max((timezone.now() - call.called_at) / timedelta(hours=1), 0.0)
    since = f"open for {hours / 24:.0f} days" if hours >= 48 else f"open for {hours:.0f} h"
    return since if call.answered_at else f"{since}, nobody has called back yet"
