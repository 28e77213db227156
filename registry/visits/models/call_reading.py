"""What was read for a service call, so that no other reading of the site is taken for evidence of it."""

from django.db import models
from django.db.models import Q

from registry.baselines.models import Reading
from registry.planning.models import LineMeasurement
from registry.visits.models.call import ServiceCall
from sites.facts import Fact


class CallReading(Fact):
    """A level, or an impedance, that was recorded on the page of a call."""

    logged = False

    call = models.ForeignKey(ServiceCall, models.PROTECT, related_name="readings")
    reading = models.OneToOneField(Reading, models.PROTECT, null=True, blank=True, related_name="for_call")
    measurement = models.OneToOneField(LineMeasurement, models.PROTECT, null=True, blank=True, related_name="for_call")

    class Meta:
        """One of the two."""

        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reading__isnull=True, measurement__isnull=False)
                | Q(reading__isnull=False, measurement__isnull=True),
                name="call_reading_of_one_kind",
            )
        ]

    def __str__(self) -> str:
        return str(self.reading or self.measurement)
