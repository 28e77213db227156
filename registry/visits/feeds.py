"""The calendar feeds of a person: make an address, take it back, recognise it; and the visits that it shows."""

import hashlib
import secrets
from datetime import timedelta
from typing import Any, Final, NamedTuple

from django.db.models import Count, Max, OuterRef, QuerySet, Subquery
from django.utils import timezone

from registry.visits.models import CalendarFeed, Visit
from registry.visits.queries import visits_visible_to
from sites.models import User
from sites.put import refuse

PAST: Final = timedelta(days=180)
MOST_FEEDS: Final = 10


class MadeFeed(NamedTuple):
    """A new feed with its secret word, which nobody can read again."""

    feed: CalendarFeed
    secret: str


def feeds_of(user: User) -> QuerySet[CalendarFeed]:
    """Return the feeds of a person that still work."""
    return CalendarFeed.objects.filter(user=user, revoked_at__isnull=True)


def make_feed(*, by: User, name: str) -> MadeFeed:
    """Make an address for one calendar of whoever asks."""
    if not name.strip():
        raise refuse("calendar feed", (by.pk,), "name", "say for which calendar, so that you know which to revoke")
    if not by.may_write:
        raise refuse("calendar feed", (by.pk,), "name", "only people who make visits have a calendar of them")
    if feeds_of(by).count() >= MOST_FEEDS:
        raise refuse("calendar feed", (by.pk,), "name", f"{MOST_FEEDS} addresses work already: revoke one first")
    secret = secrets.token_urlsafe(32)
    feed = CalendarFeed(user=by, name=name.strip(), token_sha256=_digest(secret))
    feed._history_user = by  # type: ignore[attr-defined]
    feed.save()
    return MadeFeed(feed, secret)


def revoke_feed(*, by: User, feed: CalendarFeed) -> None:
    """Take an address back for good."""
    if feed.revoked_at is None:
        feed.revoked_at = timezone.now()
        feed._history_user = by  # type: ignore[attr-defined]
        feed.save()


def feed_of(secret: str) -> CalendarFeed | None:
    """Return the working feed of a secret word: not revoked, and its person still works here."""
    found = CalendarFeed.objects.select_related("user").filter(token_sha256=_digest(secret)).first()
    works = found is not None and found.revoked_at is None and found.user.may_write
    return found if works else None


def visits_in_feed(feed: CalendarFeed) -> QuerySet[Any]:
    """Return the visits of a feed's person: half a year back and all to come, each with its count of changes."""
    shown = visits_visible_to(feed.user).filter(tech=feed.user, starts_at__gte=timezone.now() - PAST)
    rows = Visit.history.filter(id=OuterRef("pk")).order_by().values("id")
    number = Subquery(rows.annotate(number=Count("history_id")).values("number"))
    newest = Subquery(rows.annotate(at=Max("history_date")).values("at"))
    return shown.annotate(changes=number, changed_at=newest).order_by("starts_at", "pk")


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()
