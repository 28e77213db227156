"""What was said or became known about a service call, while it is open and after it is closed."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.text import Truncator

from registry.visits.models.call import ServiceCall
from sites.facts import Fact
from sites.secret_scan import refuse_secret


class CallNote(Fact):
    """A note of ours; owners don't read it."""

    call = models.ForeignKey(ServiceCall, models.PROTECT, related_name="notes")
    says = models.TextField("what was said", max_length=2000, validators=[refuse_secret])
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    written_at = models.DateTimeField()

    class Meta:
        """In the order they were written."""

        ordering = ["written_at", "pk"]
        constraints = [models.CheckConstraint(condition=~Q(says=""), name="call_note_says_something")]

    def __str__(self) -> str:
        return Truncator(self.says).chars(80)
