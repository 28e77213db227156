"""What is done at a visit: tasks with as found and as left, readings, photos, parts; and addenda after it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.audio.models import Line, Zone
from registry.equipment.models import MakeModel, Place
from registry.visits.models.finding import Finding
from registry.visits.models.kinds import TaskKind
from registry.visits.models.measured import Measured
from registry.visits.models.visit import Visit
from sites.facts import Fact
from sites.models import Rack
from sites.secret_scan import refuse_secret

ABOUT_ONE = (
    Q(place__isnull=True, rack__isnull=True, line__isnull=True, zone__isnull=True)
    | Q(place__isnull=False, rack__isnull=True, line__isnull=True, zone__isnull=True)
    | Q(place__isnull=True, rack__isnull=False, line__isnull=True, zone__isnull=True)
    | Q(place__isnull=True, rack__isnull=True, line__isnull=False, zone__isnull=True)
    | Q(place__isnull=True, rack__isnull=True, line__isnull=True, zone__isnull=False)
)


class TaskResult(models.TextChoices):
    """How a task went."""

    DONE = "done", "Done, in order"
    WRONG = "wrong", "Done, not in order"
    NOT_DONE = "not done", "Not done"


class VisitTask(models.Model):
    """One line of a visit's checklist. As found is locked once as left is given."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="tasks")
    kind = models.CharField(max_length=16, choices=TaskKind)
    note = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="+")
    rack = models.ForeignKey(Rack, models.PROTECT, null=True, blank=True, related_name="+")
    line = models.ForeignKey(Line, models.PROTECT, null=True, blank=True, related_name="+")
    zone = models.ForeignKey(Zone, models.PROTECT, null=True, blank=True, related_name="+")
    found = models.CharField("as found", max_length=400, blank=True, validators=[refuse_secret])
    left = models.CharField("as left", max_length=400, blank=True, validators=[refuse_secret])
    result = models.CharField(max_length=8, choices=TaskResult, blank=True)
    why_not = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    changed_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        """About one thing, or about the site."""

        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=ABOUT_ONE, name="visit_task_about_one_thing"),
            models.CheckConstraint(condition=Q(kind__in=TaskKind.values), name="visit_task_kind_known"),
            models.CheckConstraint(
                condition=Q(result="") | Q(result__in=TaskResult.values), name="visit_task_result_known"
            ),
            models.CheckConstraint(
                condition=~Q(result=TaskResult.NOT_DONE) | ~Q(why_not=""), name="visit_task_not_done_says_why"
            ),
        ]

    def __str__(self) -> str:
        return self.note if self.kind == TaskKind.OTHER else self.get_kind_display()

    @property
    def about(self) -> Place | Rack | Line | Zone | None:
        """What it is about; None: the whole site."""
        return self.place or self.rack or self.line or self.zone

    @property
    def name(self) -> str:
        """The task and what it is about: Filters and vents, Rack 1."""
        return f"{self}, {self.about}" if self.about else str(self)


class VisitReading(Measured):
    """A level, or an impedance, that was measured at a visit."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="readings")


class VisitPhoto(Fact):
    """A photo taken at a visit, of the visit or of a finding, drawn anew without metadata."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="photos")
    finding = models.ForeignKey(Finding, models.PROTECT, null=True, blank=True, related_name="photos")
    image = models.FileField(upload_to="visits/", max_length=200)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    caption = models.CharField(max_length=200, blank=True, validators=[refuse_secret])
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order they were taken."""

        ordering = ["taken_at", "pk"]

    def __str__(self) -> str:
        return self.caption or f"Photo {self.pk}"


class PartUsed(Fact):
    """Something that was fitted or used up. A correction is a new row that names the one it replaces."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="parts")
    what = models.CharField(max_length=200, validators=[refuse_secret])
    make_model = models.ForeignKey(MakeModel, models.PROTECT, null=True, blank=True, related_name="+")
    quantity = models.PositiveSmallIntegerField(default=1)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    used_at = models.DateTimeField()
    recorded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="correction")

    class Meta:
        """In the order they were recorded. A correction with quantity 0 takes the part out."""

        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.what}"


class Addendum(Fact):
    """What is added to a visit after it was closed."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="addenda")
    says = models.TextField(max_length=2000, validators=[refuse_secret])
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order they were written."""

        ordering = ["written_at", "pk"]
        verbose_name_plural = "addenda"
        constraints = [models.CheckConstraint(condition=~Q(says=""), name="addendum_says_something")]

    def __str__(self) -> str:
        return f"Addendum to {self.visit}, {self.written_at:%Y-%m-%d}"
