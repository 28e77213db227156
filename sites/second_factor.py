"""The second factor: an authenticator app (TOTP, RFC 6238), and recovery codes for a lost phone."""

import hashlib
import math
import secrets
from typing import Any, Final

from django.conf import settings
from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone
from django_otp import verify_token
from django_otp.plugins.otp_totp.models import TOTPDevice

from sites.accounts import note
from sites.models import Happening, RecoveryCode, RecoverySheet, User
from sites.sign_ins import end_sign_ins

CODES: Final = 10
CODE_LENGTH: Final = (
    24  # times 5 bits: more than the 112 bits from which on a plain hash keeps a code (ASVS 5.0, 6.5.2)
)
LETTERS: Final = "abcdefghijkmnpqrstuvwxyz23456789"  # 32 of them, none that looks like another
WRONG: Final = (
    "This code is wrong or was used before. Check that the phone's clock is right and wait for the next code."
)


def has_second_factor(user: User) -> bool:
    """Return whether `user` set up an authenticator app."""
    return _app_of(user) is not None


def with_factor(people: QuerySet[User]) -> QuerySet[Any]:
    """Return `people` with `has_app`: whether they set up an authenticator app."""
    return people.annotate(has_app=Exists(TOTPDevice.objects.filter(user=OuterRef("pk"), confirmed=True)))


def is_obliged(user: User) -> bool:
    """Return whether `user` must use a second factor here."""
    writes = user.may_write or user.is_superuser
    return settings.SECOND_FACTOR == "everyone" or (settings.SECOND_FACTOR == "writers" and writes)


def begin_second_factor(*, by: User) -> TOTPDevice:
    """Return the key that the app is to take over; it stays the same until a code confirms it."""
    found, _ = TOTPDevice.objects.get_or_create(user=by, confirmed=False, defaults={"name": "Authenticator app"})
    return found


def confirm_second_factor(*, by: User, code: str) -> tuple[TOTPDevice, list[str]]:
    """Turn the second factor on and return the app and the recovery codes, which are shown this once.

    Raises ValueError when the code doesn't come from the key, or a second factor is on already.
    """
    if has_second_factor(by):
        raise ValueError("A second factor is on already: turn it off first to use another phone.")
    app = begin_second_factor(by=by)
    # On its own, so that the count of wrong codes isn't rolled back with the refusal.
    verified = verify_token(by, app.persistent_id, plain_code(code))
    if verified is None:
        raise ValueError(WRONG)
    with transaction.atomic():
        verified.confirmed = True
        verified.save(update_fields=["confirmed"])
        note(by=by, user=by, what=Happening.FACTOR_ON)
        return verified, _renew_codes(by)


@transaction.atomic
def renew_recovery_codes(*, by: User) -> list[str]:
    """Replace the recovery codes and return the new ones; the old ones stop working."""
    if not has_second_factor(by):
        raise ValueError("Recovery codes come with a second factor: turn it on first.")
    note(by=by, user=by, what=Happening.CODES_RENEWED)
    return _renew_codes(by)


@transaction.atomic
def turn_off_second_factor(*, by: User) -> None:
    """Forget the app and the recovery codes of who asks."""
    if is_obliged(by):
        raise ValueError("Here your account must use a second factor: a manager can reset it for another phone.")
    _forget(by)
    note(by=by, user=by, what=Happening.FACTOR_OFF)


@transaction.atomic
def reset_second_factor(*, by: User, user: User) -> None:
    """Forget another person's app and recovery codes (their phone is lost), and end their sign-ins."""
    _forget(user)
    end_sign_ins(by=by, user=user)
    note(by=by, user=user, what=Happening.FACTOR_RESET)


def check_code(user: User, text: str) -> TOTPDevice | RecoverySheet | None:
    """Use a code up and return what it came from; None when it is wrong, used, or tried too soon after wrong ones."""
    device = _device_for(user, text)
    return verify_token(user, device.persistent_id, plain_code(text)) if device else None


def seconds_to_wait(user: User, text: str) -> int:
    """Return for how long no code of this kind is looked at, because of wrong ones before."""
    device = _device_for(user, text)
    allowed, why = device.verify_is_allowed() if device else (True, {})
    return 0 if allowed else max(1, math.ceil((why["locked_until"] - timezone.now()).total_seconds()))


def note_recovery(*, by: User) -> int:
    """Record that a recovery code was used to sign in, and return how many are left."""
    left = codes_left(by)
    note(by=by, user=by, what=Happening.CODE_USED, detail=f"{left} left")
    return left


def codes_left(user: User) -> int:
    """Return how many recovery codes weren't used yet."""
    return RecoveryCode.objects.filter(sheet__user=user).count()


def plain_code(text: str) -> str:
    """Return a typed code without what only makes it easier to read.

    >>> plain_code("123 456"), plain_code("ABCD-efgh")
    ('123456', 'abcdefgh')
    """
    return "".join(text.split()).replace("-", "").lower()


def digest_of_code(text: str) -> str:
    """Return what is kept of a recovery code."""
    return hashlib.sha256(plain_code(text).encode()).hexdigest()


def _device_for(user: User, text: str) -> TOTPDevice | RecoverySheet | None:
    plain = plain_code(text)
    if len(plain) == 6 and plain.isascii() and plain.isdigit():
        return _app_of(user)
    return RecoverySheet.objects.filter(user=user).first() if len(plain) == CODE_LENGTH else None


def _app_of(user: User) -> TOTPDevice | None:
    return TOTPDevice.objects.filter(user=user, confirmed=True).first()


def _renew_codes(user: User) -> list[str]:
    sheet, _ = RecoverySheet.objects.get_or_create(user=user, defaults={"name": "Recovery codes"})
    sheet.codes.all().delete()
    codes = ["".join(secrets.choice(LETTERS) for _ in range(CODE_LENGTH)) for _ in range(CODES)]
    RecoveryCode.objects.bulk_create(RecoveryCode(sheet=sheet, digest=digest_of_code(code)) for code in codes)
    return ["-".join(code[at : at + 4] for at in range(0, CODE_LENGTH, 4)) for code in codes]


def _forget(user: User) -> None:
    TOTPDevice.objects.filter(user=user).delete()
    RecoverySheet.objects.filter(user=user).delete()
