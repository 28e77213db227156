"""Bringing a site back to its baseline, step by step, until it is signed."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.baselines.models.baseline import Baseline
from sites.models import Site
from sites.secret_scan import refuse_secret


class Restore(models.Model):
    """One run through the restore sheet. Once signed it is closed."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="restores")
    baseline = models.ForeignKey(Baseline, models.PROTECT, related_name="restores")
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    signed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    signature = models.CharField(max_length=120, blank=True)
    remarks = models.TextField(max_length=2000, blank=True, validators=[refuse_secret])
    history = HistoricalRecords()

    class Meta:
        """One open restore per site, so that two techs see the same ticks."""

        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(fields=["site"], condition=Q(signed_at__isnull=True), name="one_open_restore"),
            models.CheckConstraint(
                condition=Q(signed_at__isnull=True, signature="") | (Q(signed_at__isnull=False) & ~Q(signature="")),
                name="restore_signed_with_a_name",
            ),
        ]

    def __str__(self) -> str:
        return f"Restore of {self.site} to baseline {self.baseline.number}"

    @property
    def is_open(self) -> bool:
        """Whether steps can still be recorded."""
        return self.signed_at is None


class RestoreStep(models.Model):
    """What a tech recorded at one step: what was found, and that it was set or why not."""

    restore = models.ForeignKey(Restore, models.CASCADE, related_name="steps")
    key = models.CharField(max_length=200)
    found = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    done = models.BooleanField(default=False)
    could_not = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        """One row per step; a step is not both done and impossible."""

        constraints = [
            models.UniqueConstraint(fields=["restore", "key"], name="restore_step_once"),
            models.CheckConstraint(condition=Q(done=False) | Q(could_not=""), name="restore_step_done_or_not"),
        ]

    def __str__(self) -> str:
        return f"{self.key}: {'done' if self.done else self.could_not or 'open'}"

    @property
    def version(self) -> str:
        """What tells one answer from a later one, for two techs at once."""
        return self.changed_at.isoformat()
