"""Tables of signing in: who is signed in where, codes for a lost phone, and what happened to accounts."""

from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.db.models import Q
from django_otp.models import Device, ThrottlingMixin

from sites.facts import Fact


class SignIn(AbstractBaseSession):
    """One session: the browser that somebody signed in with. Deleting the row ends it. Filled by `sites.sessions`."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, null=True, related_name="sign_ins")
    ident = models.CharField("name in addresses, which gives nothing away", max_length=32, blank=True, db_index=True)
    signed_in_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    address = models.CharField(max_length=45, blank=True)
    browser = models.CharField(max_length=80, blank=True)

    class Meta:
        """Newest first; `user` is empty while nobody has signed in yet."""

        ordering = ["-seen_at", "session_key"]

    def __str__(self) -> str:
        return f"{self.user}, {self.browser}"

    @classmethod
    def get_session_store_class(cls) -> type[SessionStore]:
        """Return the store that reads and writes these rows."""
        from sites.sessions import SessionStore as Store  # the store needs this table

        return Store


class RecoverySheet(ThrottlingMixin, Device):  # type: ignore[misc]
    """The recovery codes of one person: each signs in once in place of the authenticator app."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="recovery_sheet")

    def get_throttle_factor(self) -> int:
        """Return the seconds to wait after the first wrong code; every further one doubles them."""
        return 1

    def verify_token(self, token: str) -> bool:
        """Take a code off the sheet; return whether it was on it."""
        from sites.second_factor import digest_of_code  # the actions need this table

        allowed, _ = self.verify_is_allowed()
        if not allowed:
            return False
        taken, _ = self.codes.filter(digest=digest_of_code(token)).delete()
        if taken:
            self.throttle_reset()
        else:
            self.throttle_increment()
        return bool(taken)


class RecoveryCode(models.Model):
    """One code that wasn't used yet. A code holds 120 random bits, so its plain SHA-256 can't be guessed back."""

    sheet = models.ForeignKey(RecoverySheet, models.CASCADE, related_name="codes")
    digest = models.CharField(max_length=64, unique=True)

    def __str__(self) -> str:
        return f"A code of {self.sheet}"


class Happening(models.TextChoices):
    """What can happen to an account."""

    INVITED = "invited", "Invited"
    CHANGED = "changed", "Changed"
    DEACTIVATED = "deactivated", "Deactivated"
    REACTIVATED = "reactivated", "Let in again"
    LINK_SENT = "link sent", "Password link made"
    PASSWORD_CHANGED = "password changed", "Password changed"
    FACTOR_ON = "second factor on", "Second factor turned on"
    FACTOR_OFF = "second factor off", "Second factor turned off"
    FACTOR_RESET = "second factor reset", "Second factor reset by a manager"
    CODES_RENEWED = "recovery codes renewed", "Recovery codes renewed"
    CODE_USED = "recovery code used", "Recovery code used to sign in"
    SIGN_INS_ENDED = "sign-ins ended", "Signed out elsewhere"


class AccountEvent(Fact):
    """What happened to an account, when, and by whom. `by` is empty where nobody was signed in (a password link)."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="account_events")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    what = models.CharField(max_length=30, choices=Happening)
    detail = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first; the database knows the words too."""

        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["user", "-at"], name="account_event_of_person")]
        constraints = [models.CheckConstraint(condition=Q(what__in=Happening.values), name="account_event_known")]

    def __str__(self) -> str:
        return f"{self.get_what_display()}: {self.user}"
