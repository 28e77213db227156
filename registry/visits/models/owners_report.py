"""A report that was given to an owner: what held then, so that the next one can say what has changed since."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q

from sites.facts import Fact
from sites.models import Client, Site

DIGEST = RegexValidator("^[0-9a-f]{64}$", "the SHA-256 of what held")


class OwnersReport(Fact):
    """One report of a client, or of one of its sites. `content` is a snapshot (registry/reports/owners_state.py)."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="owners_reports")
    site = models.ForeignKey(Site, models.PROTECT, null=True, blank=True, related_name="owners_reports")
    made_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    digest = models.CharField(max_length=64, validators=[DIGEST])
    content = models.JSONField()

    class Meta:
        """Newest first."""

        ordering = ["-made_at", "-pk"]
        constraints = [models.CheckConstraint(condition=~Q(digest=""), name="owners_report_has_a_digest")]

    def __str__(self) -> str:
        return f"Owner's report of {self.made_at:%Y-%m-%d}, {self.site or self.client}"
