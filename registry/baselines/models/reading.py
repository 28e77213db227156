"""One measured level at a spot."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from registry.audio.models import Zone
from registry.equipment.models import State
from sites.facts import Fact
from sites.fields import Quantity


class MeterClass(models.TextChoices):
    """IEC 61672-1 class, or a phone, which has none."""

    CLASS_1 = "1", "Class 1"
    CLASS_2 = "2", "Class 2"
    PHONE = "phone", "Phone"


class Reading(Fact):
    """A-weighted level of a zone at its spot, with what is needed to judge it."""

    zone = models.ForeignKey(Zone, models.PROTECT, related_name="readings")
    restore = models.ForeignKey("Restore", models.PROTECT, null=True, blank=True, related_name="readings")
    state = models.CharField(max_length=8, choices=State)
    taken_at = models.DateTimeField()
    dial = Quantity("dial", unit="%", maximum=100.0)
    cap = Quantity("cap", unit="%", maximum=100.0)
    level_db = Quantity("level", unit="dB(A)", minimum=0.0, maximum=150.0, null=False, blank=False)
    background_db = Quantity("background level", unit="dB(A)", minimum=0.0, maximum=150.0)
    drive_v = Quantity("drive at the terminals", unit="V", minimum=None, above=0.0, maximum=300.0)
    spot = models.CharField(max_length=120, blank=True)
    meter = models.CharField(max_length=80, blank=True)
    meter_class = models.CharField(max_length=5, choices=MeterClass, blank=True)
    track = models.CharField(max_length=120, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="correction")

    class Meta:
        """One per zone, state and time. A baseline's drift looks a zone's newest reading up by this index."""

        ordering = ["-taken_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["zone", "state", "taken_at"], condition=Q(replaces__isnull=True), name="reading_once_per_time"
            ),
            models.CheckConstraint(condition=Q(state__in=State.values), name="reading_state_known"),
            models.CheckConstraint(
                condition=Q(meter_class="") | Q(meter_class__in=MeterClass.values), name="reading_meter_class_known"
            ),
        ]
        indexes = [
            models.Index(fields=["zone", "-taken_at"], name="reading_newest_per_zone"),
            models.Index(fields=["taken_at"], name="reading_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.zone} {self.level_db:g} dB {self.state} {self.taken_at:%Y-%m-%d %H:%M}"
