"""The agreed state of a site, frozen and numbered."""

from django.conf import settings
from django.db import models

from sites.facts import Fact
from sites.models import Site
from sites.secret_scan import refuse_secret


class Baseline(Fact):
    """A frozen copy: later changes of the site leave it as it is. `content` is a snapshot (see snapshot.py)."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="baselines")
    number = models.PositiveIntegerField()
    reason = models.CharField(max_length=400, validators=[refuse_secret])
    author = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    frozen_at = models.DateTimeField()
    content = models.JSONField()
    exceptions = models.JSONField(default=list, blank=True)

    class Meta:
        """Numbers count up from 1 in each site."""

        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["site", "number"], name="baseline_number_once_per_site"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="baseline_number_from_1"),
            models.CheckConstraint(condition=~models.Q(reason=""), name="baseline_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.site} baseline {self.number}"
