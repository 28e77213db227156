"""What leaves the register for a person's calendar and mailbox."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.visits.models.guest import HASH


class CalendarFeed(models.Model):
    """An address at which a calendar reads a tech's visits. Its secret word is shown once; the table has its hash."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="calendar_feeds")
    name = models.CharField("for which calendar", max_length=80)
    token_sha256 = models.CharField(max_length=64, unique=True, validators=[HASH], editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["token_sha256"])

    class Meta:
        """Newest first; it says for which calendar."""

        ordering = ["-made_at", "-pk"]
        constraints = [models.CheckConstraint(condition=~Q(name=""), name="calendar_feed_says_for_which")]

    def __str__(self) -> str:
        return f"{self.name} of {self.user}"


class Reminder(models.Model):
    """One letter of reminders that was sent: at most one a day to each person."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    day = models.DateField()
    sent_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first, once a day."""

        ordering = ["-day", "-pk"]
        constraints = [models.UniqueConstraint(fields=["user", "day"], name="reminder_once_a_day")]

    def __str__(self) -> str:
        return f"{self.user}, {self.day}"
