"""What every write at a visit asks first: is it under way, and when did it happen."""

from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone

from registry.visits.models import Visit
from sites.models import Site, User
from sites.no_secrets import refuse_secrets_in

CLOCKS_DIFFER: Final = timedelta(minutes=5)
BEFORE_BEGINNING: Final = timedelta(hours=12)


def open_visit(visit: Visit) -> Visit:
    """Return the visit, locked, so that nothing is recorded while it is being closed.

    Raises ValueError when it is closed or called off, saying by whom and when.
    """
    found = Visit.objects.select_for_update(of=("self",)).select_related("site", "closed_by").get(pk=visit.pk)
    if found.closed_at is not None:
        when = clock(found.site, found.closed_at)
        raise ValueError(f"{found.closed_by} closed this visit on {when}: write an addendum instead")
    if found.called_off_because:
        raise ValueError(f"this visit was called off ({found.called_off_because}): schedule another one")
    return found


def under_way(visit: Visit) -> Visit:
    """Return the visit, locked; ValueError when it has not begun, is closed or called off."""
    found = open_visit(visit)
    if found.begun_at is None:
        raise ValueError("this visit has not begun: begin it, then record what was found")
    return found


def happened(at: datetime | None, visit: Visit | None = None) -> datetime:
    """Return when something happened: now, or what the phone says that sends it later.

    Raises ValueError when that lies in the future, or long before the visit began: then the phone's clock is wrong.
    """
    now = timezone.now()
    if at is None:
        return now
    if timezone.is_naive(at):
        raise ValueError(f"give the time with its offset from UTC, got {at.isoformat()}")
    if at > now + CLOCKS_DIFFER:
        raise ValueError(f"{at.isoformat()} is in the future: set the phone's clock, then record it again")
    if visit is not None and visit.begun_at is not None and at < visit.begun_at - BEFORE_BEGINNING:
        began = clock(visit.site, visit.begun_at)
        raise ValueError(f"{clock(visit.site, at)} is long before this visit began ({began}): give the right time")
    return at


def clock(site: Site, at: datetime) -> str:
    """Return a time as the clock on the site's wall shows it: 12 Mar 2026, 14:05."""
    local = at.astimezone(site.zone_info)
    return f"{local.day} {local:%b %Y, %H:%M}"


def signed_by(row: Visit, by: User) -> Visit:
    """Save a visit; its history says who."""
    row._history_user = by  # type: ignore[attr-defined]
    refuse_secrets_in(row)
    row.full_clean(exclude=["site", "plan", "tech", "begun_by", "closed_by"])
    row.save()
    return row
