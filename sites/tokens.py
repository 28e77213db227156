"""Writes and reads of integration tokens: hand one out, take it back, recognise it."""

import hashlib
import secrets
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final, NamedTuple

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from sites.editing import refuse_taken
from sites.models import Client, IntegrationToken, Membership, Role, User
from sites.put import refuse

PREFIX: Final = "evenkeel_"
USE_IS_NOTED_EVERY: Final = timedelta(hours=1)


class Issued(NamedTuple):
    """A new token with its secret, which nobody can read again."""

    token: IntegrationToken
    secret: str


def tokens_visible_to(user: User) -> QuerySet[IntegrationToken]:
    """Return the tokens that `user` may look after: all for managers, none for anybody else."""
    found = IntegrationToken.objects.select_related("user", "created_by").prefetch_related("user__memberships__client")
    return found if user.manages_people else found.none()


@transaction.atomic
def issue_token(
    *,
    by: User,
    name: str,
    may_write: bool = False,
    every_client: bool = False,
    clients: Iterable[Client] = (),
    expires_at: datetime | None = None,
) -> Issued:
    """Hand out a token that sees every client or the given ones, with a user of its own that has no password."""
    refuse_unless_manager(by)
    refuse_taken(IntegrationToken.objects.all(), "token", "name", name)
    clients = list(clients)
    if every_client == bool(clients):
        raise refuse("token", (name,), "clients", "choose clients, or say that it sees every client: one of the two")
    if expires_at is not None and expires_at <= timezone.now():
        raise refuse("token", (name,), "expires_at", "this time is past: choose one to come, or none")
    secret = PREFIX + secrets.token_urlsafe(32)
    user = _user_named(name)
    Membership.objects.bulk_create([Membership(user=user, client=client) for client in clients])
    token = IntegrationToken(user=user, name=name, digest=_digest(secret), may_write=may_write, created_by=by)
    token.every_client, token.expires_at = every_client, expires_at
    token._history_user = by  # type: ignore[attr-defined]
    token.save()
    return Issued(token, secret)


def refuse_unless_manager(by: User) -> None:
    """Refuse anybody but a manager."""
    if not by.manages_people:
        raise refuse("token", (), "name", "only a manager hands out tokens or takes them back")


def _user_named(name: str) -> User:
    user = User(username=f"program-{secrets.token_hex(8)}", first_name=name, role=Role.PROGRAM)
    user.set_unusable_password()
    user.save()
    return user


@transaction.atomic
def revoke_token(*, by: User, token: IntegrationToken) -> IntegrationToken:
    """Take a token back for good; what its program wrote keeps its name. Once more changes nothing."""
    refuse_unless_manager(by)
    if token.revoked_at is None:
        token.revoked_at = timezone.now()
        token._history_user = by  # type: ignore[attr-defined]
        token.save(update_fields=["revoked_at"])
        token.user.is_active = False
        token.user.save(update_fields=["is_active"])
    return token


def token_of(secret: str) -> IntegrationToken | None:
    """Return the working token of a secret, and note that it was used. One query, and one write an hour."""
    found = IntegrationToken.objects.select_related("user").filter(digest=_digest(secret)).first()
    if found is None or not found.works or not found.user.is_active:
        return None
    found.user.token = found
    now = timezone.now()
    if found.last_used_at is None or now - found.last_used_at >= USE_IS_NOTED_EVERY:
        IntegrationToken.objects.filter(pk=found.pk).update(last_used_at=now)
    return found


def _digest(secret: str) -> str:
    """A secret of 256 random bits needs no slow hash: nobody can try that many."""
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()
