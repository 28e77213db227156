"""One line for every row that was written: who, when, from where, what. The rows themselves hold the content."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.facts import Fact
from sites.origin import Way


class Deed(models.TextChoices):
    """What was done to a row, in the signs of its history."""

    RECORDED = "+", "Recorded"
    CHANGED = "~", "Changed"
    REMOVED = "-", "Removed"


class HistoryEntry(Fact):
    """One row written. `row` is its history row, or the fact itself; nothing here may outlive or hold back the rest."""

    logged = False

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    site = models.ForeignKey("client_sites.Site", models.DO_NOTHING, null=True, related_name="+", db_constraint=False)
    kind = models.CharField("label of the model", max_length=60)
    object_id = models.BigIntegerField()
    row = models.BigIntegerField()
    deed = models.CharField(max_length=1, choices=Deed)
    way = models.CharField(max_length=7, choices=Way, blank=True)
    name = models.CharField("page or command", max_length=60, blank=True)
    address = models.CharField(max_length=45, blank=True)

    class Meta:
        """Newest first."""

        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["kind", "object_id"], name="history_of_object"),
            models.Index(fields=["site", "-at"], name="history_of_site"),
            models.Index(fields=["by", "-at"], name="history_of_person"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(deed__in=Deed.values), name="history_deed_known"),
            models.CheckConstraint(condition=Q(way__in=["", *Way.values]), name="history_way_known"),
            models.UniqueConstraint(fields=["kind", "row"], name="history_row_once"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.object_id} {self.get_deed_display().lower()}"
