"""The shape of what was measured on the way: a level or an impedance, and where it belongs."""

from django.db import models
from django.db.models import Q

from registry.baselines.models import Reading
from registry.planning.models import LineMeasurement
from sites.facts import Fact


class Measured(Fact):
    """Base of a level, or an impedance, that was measured for something: at a visit, for a call."""

    reading = models.OneToOneField(Reading, models.PROTECT, null=True, blank=True, related_name="%(class)s")
    measurement = models.OneToOneField(LineMeasurement, models.PROTECT, null=True, blank=True, related_name="%(class)s")

    class Meta:
        """One of the two."""

        abstract = True
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reading__isnull=True, measurement__isnull=False)
                | Q(reading__isnull=False, measurement__isnull=True),
                name="%(class)s_of_one_kind",
            )
        ]

    def __str__(self) -> str:
        return str(self.reading or self.measurement)
