"""Service calls: what the caller says, what it was, and whether the record would have saved the trip."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.audio.models import Zone
from registry.visits.models.visit import Visit
from sites.models import Site, YesNoUnknown
from sites.secret_scan import refuse_secret


class Mechanism(models.TextChoices):
    """How it failed, in the words of ISO 14224's failure mechanisms (clause and wording from memory)."""

    MECHANICAL = "mechanical", "Mechanical: loose, broken, blocked"
    MATERIAL = "material", "Material: corroded, worn, overheated"
    INSTRUMENT = "instrument", "Out of adjustment, software or settings"
    ELECTRICAL = "electrical", "Electrical: short, open, no power, earth"
    EXTERNAL = "external", "External: contamination, blockage, other systems"
    NONE = "none", "No fault found"
    UNKNOWN = "unknown", "Unknown"


class Cause(models.TextChoices):
    """Why, in the words of ISO 14224's failure causes (clause and wording from memory)."""

    DESIGN = "design", "Design"
    MANUFACTURE = "manufacture", "Manufacture or installation"
    OPERATION = "operation", "Operation or maintenance"
    AGE = "age", "Expected wear and age"
    MANAGEMENT = "management", "Management: no instruction, no record"
    OTHER = "other", "Other"
    UNKNOWN = "unknown", "Unknown"


class CausedBy(models.TextChoices):
    """Who or what brought it about."""

    STAFF = "staff", "Staff of the site"
    US = "us", "Us"
    OTHERS = "others", "Somebody else's work"
    POWER = "power", "A power cut"
    NOBODY = "nobody", "Nobody"
    UNKNOWN = "unknown", "Unknown"


class ServiceCall(models.Model):
    """Somebody asked for help. `symptoms` are words of engineering.diagnosis; `suspects` what it ranked at the time."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="calls")
    called_at = models.DateTimeField()
    caller = models.CharField(max_length=120, blank=True)
    phone = models.CharField("number to call back", max_length=60, blank=True)
    says = models.TextField("what the caller says", max_length=2000, validators=[refuse_secret])
    since = models.CharField("since when", max_length=200, blank=True, validators=[refuse_secret])
    changed = models.CharField("what changed before", max_length=400, blank=True, validators=[refuse_secret])
    zones = models.ManyToManyField(Zone, blank=True, related_name="calls")
    symptoms = models.JSONField(default=list, blank=True)
    suspects = models.JSONField(default=list, blank=True)
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    visit = models.OneToOneField(Visit, models.PROTECT, null=True, blank=True, related_name="call")
    answered_at = models.DateTimeField(null=True, blank=True)
    restored_at = models.DateTimeField(null=True, blank=True)
    mechanism = models.CharField(max_length=10, choices=Mechanism, blank=True)
    cause = models.CharField(max_length=11, choices=Cause, blank=True)
    caused_by = models.CharField(max_length=7, choices=CausedBy, blank=True)
    was = models.CharField("what it was", max_length=1000, blank=True, validators=[refuse_secret])
    minutes = models.PositiveSmallIntegerField("minutes spent", null=True, blank=True)
    record_would_have_saved = models.CharField(
        "would the record have saved the trip?", max_length=7, choices=YesNoUnknown, blank=True
    )
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    history = HistoricalRecords(m2m_fields=[zones])

    class Meta:
        """Newest first; a closed one says what it was."""

        ordering = ["-called_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True)
                | (
                    ~Q(was="")
                    & Q(mechanism__in=Mechanism.values, cause__in=Cause.values, caused_by__in=CausedBy.values)
                    & Q(record_would_have_saved__in=YesNoUnknown.values)
                ),
                name="call_closed_says_what_it_was",
            )
        ]

    def __str__(self) -> str:
        return f"Call of {self.called_at:%Y-%m-%d}, {self.site}"

    @property
    def is_open(self) -> bool:
        """Whether it waits for an answer."""
        return self.closed_at is None
