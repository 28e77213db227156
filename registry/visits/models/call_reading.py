"""What was read for a service call, so that no other reading of the site is taken for evidence of it."""

from django.db import models

from registry.visits.models.call import ServiceCall
from registry.visits.models.measured import Measured


class CallReading(Measured):
    """A level, or an impedance, that was recorded on the page of a call."""

    logged = False

    call = models.ForeignKey(ServiceCall, models.PROTECT, related_name="readings")
