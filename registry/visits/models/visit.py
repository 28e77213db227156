"""A visit: work at a site at a time. Once closed it stays as it is; what was forgotten is an addendum."""

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.visits.models.plan import VisitPlan
from sites.models import Site
from sites.secret_scan import refuse_secret


class VisitKind(models.TextChoices):
    """Why somebody goes there."""

    PLANNED = "planned", "Planned"
    CALL = "call", "Call"
    OTHER = "other", "Other"


class Outcome(models.TextChoices):
    """How a visit ended."""

    DONE = "done", "Done"
    EXCEPTIONS = "exceptions", "Done with exceptions"
    NOT_POSSIBLE = "not possible", "Not possible"


class Visit(models.Model):
    """One visit. `occurrence` is the rule's own date of a planned one, wherever it was moved to."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="visits")
    kind = models.CharField(max_length=8, choices=VisitKind, default=VisitKind.PLANNED)
    plan = models.ForeignKey(VisitPlan, models.PROTECT, null=True, blank=True, related_name="visits")
    occurrence = models.DateField(null=True, blank=True)
    title = models.CharField("what for", max_length=200, validators=[refuse_secret])
    starts_at = models.DateTimeField("starts")
    planned_minutes = models.PositiveSmallIntegerField(default=60, validators=[MaxValueValidator(1440)])
    tech = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="visits")
    begun_at = models.DateTimeField(null=True, blank=True)
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    result = models.CharField("result in one sentence", max_length=400, blank=True, validators=[refuse_secret])
    minutes = models.PositiveSmallIntegerField("minutes worked", null=True, blank=True)
    outcome = models.CharField(max_length=12, choices=Outcome, blank=True)
    why_not = models.CharField(
        "exceptions, or why it was not possible", max_length=1000, blank=True, validators=[refuse_secret]
    )
    signature = models.CharField("name of the tech who signs", max_length=120, blank=True)
    accepted_by = models.CharField("name of who accepted it at the site", max_length=120, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    called_off_because = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    history = HistoricalRecords()

    class Meta:
        """A date of a plan is visited once; a closed visit is signed and has an outcome."""

        ordering = ["-starts_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "site", "occurrence"], name="visit_once_per_date_of_a_plan"),
            models.CheckConstraint(condition=Q(kind__in=VisitKind.values), name="visit_kind_known"),
            models.CheckConstraint(
                condition=Q(plan__isnull=True, occurrence__isnull=True)
                | Q(plan__isnull=False, occurrence__isnull=False),
                name="visit_of_a_plan_has_its_date",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, outcome="", signature="")
                | (Q(closed_at__isnull=False, outcome__in=Outcome.values) & ~Q(signature="")),
                name="visit_closed_with_outcome_and_name",
            ),
            models.CheckConstraint(
                condition=Q(outcome__in=["", Outcome.DONE]) | ~Q(why_not=""), name="visit_says_why_not"
            ),
            models.CheckConstraint(
                condition=Q(called_off_because="") | Q(closed_at__isnull=True), name="visit_called_off_is_not_closed"
            ),
        ]
        indexes = [
            models.Index(fields=["site", "-starts_at"], name="visit_newest_per_site"),
            models.Index(fields=["starts_at"], name="visit_by_start"),
        ]

    def __str__(self) -> str:
        return f"{self.title}, {self.site}"

    @property
    def is_open(self) -> bool:
        """Whether something can still be recorded."""
        return self.closed_at is None and not self.called_off_because
