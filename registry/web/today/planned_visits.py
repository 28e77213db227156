"""Visits of today and tomorrow, and those under way, for the first page."""

from datetime import datetime, time, timedelta

from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from registry.visits.models import Visit
from registry.visits.queries import visits_visible_to
from registry.web.sites.sentences import number_of
from registry.web.today.concern import Asked, Row
from sites.models import User


def planned_visits(user: User) -> Asked:
    """Return the visits that are under way or begin today or tomorrow, in the order in which they begin."""
    morning = timezone.make_aware(datetime.combine(timezone.localdate(), time.min))
    soon = Q(starts_at__gte=morning, starts_at__lt=morning + timedelta(days=2))
    is_open = Q(closed_at__isnull=True, called_off_because="")
    rows = visits_visible_to(user).filter(is_open & (soon | Q(begun_at__isnull=False)))
    return Asked(
        heading="Visits today and tomorrow",
        short=lambda numbers: f"{number_of(numbers['visits'], 'visit')} today or tomorrow",
        rows=rows.order_by("starts_at", "pk"),
        as_row=lambda visit: Row(visit.title, reverse("visit", args=[visit.pk]), visit.site, _why(visit)),
        all_href=reverse("visits"),
    )


def _why(visit: Visit) -> str:
    who = visit.tech or "nobody goes yet"
    if visit.begun_at is not None:
        return f"under way since {_clock(visit, visit.begun_at)}, {who}"
    return f"{_clock(visit, visit.starts_at)}, {who}"


def _clock(visit: Visit, at: datetime) -> str:
    local, today = at.astimezone(visit.site.zone_info), timezone.localdate()
    days = {today: "today", today + timedelta(days=1): "tomorrow"}
    return f"{days.get(local.date(), f'{local.day} {local:%b}')} {local:%H:%M}"
