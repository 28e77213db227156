"""The settings that were read from a place: facts."""

from django.conf import settings as django_settings
from django.db import models
from django.db.models import Q

from registry.equipment.models.places import Item, Place
from sites.facts import Fact


class State(models.TextChoices):
    """Before and after work."""

    AS_FOUND = "as found", "As found"
    AS_LEFT = "as left", "As left"


class ConfigurationRecord(Fact):
    """All settings that were read from one place at one time."""

    place = models.ForeignKey(Place, models.PROTECT, related_name="records")
    item = models.ForeignKey(Item, models.PROTECT, null=True, blank=True, related_name="records")
    state = models.CharField(max_length=8, choices=State)
    taken_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        django_settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="correction")

    class Meta:
        """One record per place, state and time."""

        ordering = ["-taken_at", "state"]
        constraints = [
            models.UniqueConstraint(
                fields=["place", "state", "taken_at"], condition=Q(replaces__isnull=True), name="record_once_per_time"
            ),
            models.CheckConstraint(condition=Q(state__in=State.values), name="record_state_known"),
        ]
        indexes = [models.Index(fields=["taken_at"], name="record_by_time")]

    def __str__(self) -> str:
        return f"{self.place} {self.state} {self.taken_at:%Y-%m-%d %H:%M}"


class Setting(Fact):
    """One setting in a configuration record."""

    logged = False

    record = models.ForeignKey(ConfigurationRecord, models.PROTECT, related_name="settings")
    key = models.CharField(max_length=80)
    value = models.CharField(max_length=400, blank=True)
    unit = models.CharField(max_length=20, blank=True)

    class Meta:
        """Each key once per record."""

        ordering = ["key"]
        constraints = [models.UniqueConstraint(fields=["record", "key"], name="setting_once_per_record")]

    def __str__(self) -> str:
        return f"{self.key}: {self.value} {self.unit}".rstrip()
