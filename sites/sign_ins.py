"""Ending sign-ins: deleting the row of a session ends it at once."""

from django.db import transaction
from django.utils import timezone

from sites.accounts import note
from sites.models import Happening, SignIn, User


@transaction.atomic
def end_sign_in(*, by: User, sign_in: SignIn) -> None:
    """End one sign-in."""
    if sign_in.user is not None:
        note(by=by, user=sign_in.user, what=Happening.SIGN_INS_ENDED, detail=f"one: {sign_in.browser}")
    sign_in.delete()


@transaction.atomic
def end_sign_ins(*, by: User, user: User, keep: str = "") -> int:
    """End every sign-in of `user` but the session `keep`, and return how many ended."""
    ended, _ = SignIn.objects.filter(user=user).exclude(session_key=keep).delete()
    if ended:
        note(by=by, user=user, what=Happening.SIGN_INS_ENDED, detail=f"{ended} ended")
    return ended


@transaction.atomic
def note_password_change(*, by: User | None, user: User, keep: str = "") -> None:
    """Record a new password, and end every sign-in but the session `keep`: whoever knew the old one is out."""
    SignIn.objects.filter(user=user).exclude(session_key=keep).delete()
    note(by=by, user=user, what=Happening.PASSWORD_CHANGED, detail="" if by else "by a password link")


def forget_expired_sign_ins() -> int:
    """Delete sessions that have run out, and return how many."""
    return SignIn.objects.filter(expire_date__lt=timezone.now()).delete()[0]
