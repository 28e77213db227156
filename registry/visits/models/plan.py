"""Visit plans: the rule that makes visits due, its tasks, and the days that don't count."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from registry.visits.models.kinds import TaskKind
from sites.models import Client, Site
from sites.secret_scan import refuse_secret


class Counting(models.TextChoices):
    """What the next date counts from: the contract's own dates, or the day the work was done."""

    DUE = "due", "Fixed dates of the rule"
    DONE = "done", "The day it was last done"


class VisitPlan(models.Model):
    """A recurring visit to one site, or to every site of a client. `rule` is an RFC 5545 RRULE, in the site's time."""

    site = models.ForeignKey(Site, models.PROTECT, null=True, blank=True, related_name="visit_plans")
    client = models.ForeignKey(Client, models.PROTECT, null=True, blank=True, related_name="visit_plans")
    name = models.CharField(max_length=120)
    rule = models.CharField(max_length=200)
    starts_on = models.DateField("first date")
    starts_at = models.TimeField("time of day")
    minutes = models.PositiveSmallIntegerField(
        "planned minutes", default=60, validators=[MinValueValidator(5), MaxValueValidator(1440)]
    )
    counting = models.CharField("counts from", max_length=4, choices=Counting, default=Counting.DUE)
    tech = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    notes = models.TextField(max_length=2000, blank=True, validators=[refuse_secret])
    ended_on = models.DateField(null=True, blank=True)
    history = HistoricalRecords()
    edited_with = ("tasks",)

    class Meta:
        """Belongs to a site or to a client, not both."""

        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(site__isnull=True, client__isnull=False) | Q(site__isnull=False, client__isnull=True),
                name="visit_plan_of_a_site_or_a_client",
            ),
            models.CheckConstraint(condition=Q(counting__in=Counting.values), name="visit_plan_counting_known"),
            models.CheckConstraint(condition=Q(minutes__gte=5, minutes__lte=1440), name="visit_plan_5_to_1440_min"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.site or self.client}"


class PlanTask(models.Model):
    """A task of a plan with its own interval; a visit carries those that are due by then. 0 months: at every one."""

    plan = models.ForeignKey(VisitPlan, models.CASCADE, related_name="tasks")
    kind = models.CharField(max_length=16, choices=TaskKind)
    every_months = models.PositiveSmallIntegerField("every … months", default=0, validators=[MaxValueValidator(240)])
    note = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    history = HistoricalRecords()

    class Meta:
        """Each kind once in a plan, others by their note."""

        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "kind", "note"], name="plan_task_once"),
            models.CheckConstraint(condition=Q(kind__in=TaskKind.values), name="plan_task_kind_known"),
            models.CheckConstraint(condition=~Q(kind=TaskKind.OTHER) | ~Q(note=""), name="plan_task_other_has_a_note"),
        ]

    def __str__(self) -> str:
        return self.note if self.kind == TaskKind.OTHER else self.get_kind_display()


class MovedDate(models.Model):
    """One date of a plan that is held on another day, or left out (`to` is null). The rule stays."""

    plan = models.ForeignKey(VisitPlan, models.CASCADE, related_name="moved_dates")
    site = models.ForeignKey(Site, models.CASCADE, related_name="moved_dates")
    date = models.DateField("the rule's date")
    to = models.DateField("held on", null=True, blank=True)
    starts_at = models.TimeField("time of day", null=True, blank=True)
    reason = models.CharField(max_length=400, validators=[refuse_secret])
    history = HistoricalRecords()

    class Meta:
        """Each date once."""

        constraints = [
            models.UniqueConstraint(fields=["plan", "site", "date"], name="moved_date_once"),
            models.CheckConstraint(condition=~Q(reason=""), name="moved_date_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.date} to {self.to or 'left out'}"


class Holiday(models.Model):
    """A day without visits: everywhere, or at one site."""

    site = models.ForeignKey(Site, models.CASCADE, null=True, blank=True, related_name="holidays")
    date = models.DateField()
    name = models.CharField(max_length=120)
    history = HistoricalRecords()

    class Meta:
        """Once a day."""

        ordering = ["date"]
        constraints = [
            models.UniqueConstraint(fields=["site", "date"], name="holiday_once_at_a_site"),
            models.UniqueConstraint(fields=["date"], condition=Q(site__isnull=True), name="holiday_once_everywhere"),
        ]

    def __str__(self) -> str:
        return f"{self.date} {self.name}"


class SiteHours(models.Model):
    """When a site can be worked at on a weekday (0 is Monday). No row: closed, if the site has any row at all."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(validators=[MaxValueValidator(6)])
    opens = models.TimeField()
    closes = models.TimeField()
    history = HistoricalRecords()

    class Meta:
        """One stretch a day."""

        ordering = ["weekday"]
        verbose_name_plural = "site hours"
        constraints = [
            models.UniqueConstraint(fields=["site", "weekday"], name="site_hours_once_a_weekday"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="site_hours_weekday_0_to_6"),
            models.CheckConstraint(condition=Q(closes__gt=F("opens")), name="site_hours_open_before_closing"),
        ]

    def __str__(self) -> str:
        return f"{self.weekday}: {self.opens:%H:%M} to {self.closes:%H:%M}"
