"""A link that lets somebody without an account read the report of one visit, until a day."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from registry.visits.models.visit import Visit

HASH = RegexValidator("^[0-9a-f]{64}$", "the SHA-256 of the word in the link")


class VisitGuestLink(models.Model):
    """One link. Its secret word is shown once and kept nowhere: the table has its hash only."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="guest_links")
    token_sha256 = models.CharField(max_length=64, unique=True, validators=[HASH], editable=False)
    for_whom = models.CharField(max_length=120)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["token_sha256"])

    class Meta:
        """It says for whom, and ends."""

        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(for_whom=""), name="guest_link_says_for_whom"),
            models.CheckConstraint(condition=Q(expires_at__gt=F("made_at")), name="guest_link_ends_after_it_began"),
        ]

    def __str__(self) -> str:
        return f"Link for {self.for_whom}"

    @property
    def is_over(self) -> bool:
        """Whether it opens nothing any more."""
        return self.revoked_at is not None or self.expires_at <= timezone.now()
