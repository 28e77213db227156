"""Something wrong or worth doing, seen at a visit or reported, and what became of it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.text import Truncator
from simple_history.models import HistoricalRecords

from registry.audio.models import Line, Zone
from registry.equipment.models import Place
from registry.visits.models.visit import Visit
from sites.models import Site
from sites.secret_scan import refuse_secret


class Severity(models.TextChoices):
    """The consequence (words of EN 13306: up, degraded, down, hazardous state)."""

    HAZARDOUS = "hazardous", "Hazardous"
    DOWN = "down", "Down"
    DEGRADED = "degraded", "Degraded"
    COSMETIC = "cosmetic", "Cosmetic"


class FollowUp(models.TextChoices):
    """When it is dealt with (EN 13306: immediate and deferred corrective maintenance, preventive)."""

    IMMEDIATE = "immediate", "Immediately"
    NEXT_DAY = "next day", "Next working day"
    NEXT_VISIT = "next visit", "At the next visit"
    PLANNED = "planned", "To be planned"
    NONE = "none", "Nothing to do"


class Finding(models.Model):
    """One finding. It stays open until somebody says what was done."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="findings")
    visit = models.ForeignKey(Visit, models.PROTECT, null=True, blank=True, related_name="findings")
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="findings")
    line = models.ForeignKey(Line, models.PROTECT, null=True, blank=True, related_name="findings")
    zone = models.ForeignKey(Zone, models.PROTECT, null=True, blank=True, related_name="findings")
    severity = models.CharField(max_length=9, choices=Severity)
    says = models.TextField("what was seen", max_length=2000, validators=[refuse_secret])
    follow_up = models.CharField(max_length=10, choices=FollowUp)
    due_on = models.DateField(null=True, blank=True)
    internal = models.BooleanField("not for the owner", default=False)
    found_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    found_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    closed_visit = models.ForeignKey(Visit, models.PROTECT, null=True, blank=True, related_name="closed_findings")
    done = models.CharField("what was done", max_length=1000, blank=True, validators=[refuse_secret])
    history = HistoricalRecords()

    class Meta:
        """Newest first; a closed one says what was done."""

        ordering = ["-found_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(severity__in=Severity.values), name="finding_severity_known"),
            models.CheckConstraint(condition=Q(follow_up__in=FollowUp.values), name="finding_follow_up_known"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, done="") | (Q(closed_at__isnull=False) & ~Q(done="")),
                name="finding_closed_says_what_was_done",
            ),
        ]
        indexes = [models.Index(fields=["found_at", "id"], name="finding_by_time")]

    def __str__(self) -> str:
        return Truncator(self.says).chars(80)

    @property
    def is_open(self) -> bool:
        """Whether something is left to do."""
        return self.closed_at is None

    @property
    def about(self) -> Place | Line | Zone | None:
        """What it is about; None: the site."""
        return self.place or self.line or self.zone
