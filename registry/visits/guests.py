"""Links by which somebody without an account reads the report of one closed visit, until a day or until revoked."""

import hashlib
import secrets
from datetime import timedelta
from typing import Final, NamedTuple

from django.db import transaction
from django.utils import timezone

from registry.visits.models import Visit, VisitGuestLink
from registry.visits.queries import in_full
from sites.models import User
from sites.put import refuse

MOST_DAYS: Final = 90
WORD_BYTES: Final = 32


class NewLink(NamedTuple):
    """A link that was just made, and its secret word: nobody can show that again."""

    link: VisitGuestLink
    word: str


@transaction.atomic
def make_guest_link(*, by: User, visit: Visit, for_whom: str, days: int) -> NewLink:
    """Let somebody without an account read a visit's report for some days.

    Raises ValueError when the visit is not closed, nobody is named, or the days are not 1 to 90.
    """
    visit = Visit.objects.get(pk=visit.pk)
    if visit.closed_at is None:
        raise ValueError("this visit is not closed yet: there is no signed report to show")
    if not for_whom.strip():
        raise refuse("guest link", (visit.pk,), "for_whom", "Say for whom: name or duty.")
    if not 1 <= days <= MOST_DAYS:
        raise refuse("guest link", (visit.pk,), "days", f"Give 1 to {MOST_DAYS} days.")
    word = secrets.token_urlsafe(WORD_BYTES)
    link = VisitGuestLink(visit=visit, token_sha256=_hash(word), for_whom=for_whom.strip()[:120], made_by=by)
    link.expires_at = timezone.now() + timedelta(days=days)
    link._history_user = by  # type: ignore[attr-defined]
    link.save()
    return NewLink(link, word)


@transaction.atomic
def revoke_guest_link(*, by: User, link: VisitGuestLink) -> VisitGuestLink:
    """End a link now; one that has ended stays as it is."""
    link = VisitGuestLink.objects.select_for_update().get(pk=link.pk)
    if link.revoked_at is None:
        link.revoked_at = timezone.now()
        link._history_user = by  # type: ignore[attr-defined]
        link.save()
    return link


def visit_for_guest(word: str) -> Visit | None:
    """Return the visit that a link's word opens; None when there is no such link, or it has ended."""
    links = VisitGuestLink.objects.filter(revoked_at__isnull=True, expires_at__gt=timezone.now())
    wanted = links.filter(token_sha256=_hash(word)).values("visit")
    return in_full(Visit.objects.filter(pk__in=wanted, closed_at__isnull=False)).first()


def _hash(word: str) -> str:
    return hashlib.sha256(word.encode()).hexdigest()
