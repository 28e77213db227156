"""The key of another program: what it may do, and until when."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords


class IntegrationToken(models.Model):
    """Lets another program use the API as a user of its own (`user`), so that row scope and history work as for people.

    Only the hash of the secret is kept. Which clients the program may see are the memberships of its user, unless
    `every_client` is set.
    """

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.PROTECT, related_name="token")
    name = models.CharField(max_length=80, unique=True, help_text="What uses it, for example: Bookkeeping export.")
    digest = models.CharField("SHA-256 of the secret", max_length=64, unique=True, editable=False)
    may_write = models.BooleanField("may write", default=False)
    every_client = models.BooleanField("sees every client", default=False)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, editable=False)
    revoked_at = models.DateTimeField(null=True, editable=False)
    history = HistoricalRecords(excluded_fields=["digest", "last_used_at"])

    class Meta:
        """The newest first."""

        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def works(self) -> bool:
        """Whether it still lets its program in."""
        return self.revoked_at is None and (self.expires_at is None or self.expires_at > timezone.now())
