"""Calls that wait for an end, for the first page."""

from datetime import timedelta

from django.urls import reverse
from django.utils import timezone
from django.utils.text import Truncator

from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to
from registry.web.sites.sentences import number_of
from registry.web.today.concern import SHOWN, Concern, Row
from sites.models import User


def calls_concern(user: User) -> Concern:
    """Return the calls that are open, the oldest first: somebody has been waiting longest there."""
    rows = calls_visible_to(user).filter(closed_at__isnull=True).order_by("called_at", "pk")
    number = rows.count()
    shown = [
        Row(Truncator(each.says).chars(80), reverse("call", args=[each.pk]), each.site, _why(each))
        for each in rows[:SHOWN]
    ]
    return Concern("Open calls", number_of(number, "open call"), number, shown, f"{reverse('calls')}?state=open")


def _why(call: ServiceCall) -> str:
    hours = max((timezone.now() - call.called_at) / timedelta(hours=1), 0.0)
    since = f"open for {hours / 24:.0f} days" if hours >= 48 else f"open for {hours:.0f} h"
    return since if call.answered_at else f"{since}, nobody has called back yet"
