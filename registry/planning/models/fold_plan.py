"""Fold plans that somebody kept, and what was decided about each: all of it facts."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.facts import Fact
from sites.models import Site
from sites.secret_scan import refuse_secret


class FoldPlan(Fact):
    """One way of putting zones on few amplifiers, frozen with all it was computed from.

    `inputs` is the address that computes it again, `content` the zones, amplifiers and the plan itself (see kept.py).
    """

    site = models.ForeignKey(Site, models.PROTECT, related_name="fold_plans")
    number = models.PositiveIntegerField()
    title = models.CharField(max_length=120, validators=[refuse_secret])
    author = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    saved_at = models.DateTimeField()
    inputs = models.TextField(blank=True)
    content = models.JSONField()

    class Meta:
        """Numbers count up from 1 in each site."""

        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["site", "number"], name="fold_plan_number_once_per_site"),
            models.CheckConstraint(condition=Q(number__gte=1), name="fold_plan_number_from_1"),
            models.CheckConstraint(condition=~Q(title=""), name="fold_plan_has_a_title"),
        ]

    def __str__(self) -> str:
        return f"{self.site} plan {self.number}"


class Decided(models.TextChoices):
    """What can be decided about a plan. A site's accepted plan is the one accepted last, unless it was rejected."""

    ACCEPTED = "accepted", "Accepted"
    REJECTED = "rejected", "Rejected"
    WIRED = "wired", "Wired and in the register"


class PlanDecision(Fact):
    """Somebody accepted a plan, rejected it, or put it into the register. An acceptance holds the design as tables."""

    plan = models.ForeignKey(FoldPlan, models.PROTECT, related_name="decisions")
    decided = models.CharField(max_length=8, choices=Decided)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    reason = models.TextField(max_length=1000, blank=True, validators=[refuse_secret])
    design = models.JSONField(null=True, blank=True)

    class Meta:
        """A rejection says why; an acceptance holds a design and nothing else does; a plan is wired once."""

        ordering = ["decided_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(decided__in=Decided.values), name="plan_decision_known"),
            models.CheckConstraint(
                condition=~Q(decided=Decided.REJECTED) | ~Q(reason=""), name="plan_rejection_has_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(decided=Decided.ACCEPTED, design__isnull=False)
                | (~Q(decided=Decided.ACCEPTED) & Q(design__isnull=True)),
                name="plan_acceptance_has_a_design",
            ),
            models.UniqueConstraint(fields=["plan"], condition=Q(decided=Decided.WIRED), name="fold_plan_wired_once"),
        ]

    def __str__(self) -> str:
        return f"{self.plan} {self.decided} {self.decided_at:%Y-%m-%d %H:%M}"
