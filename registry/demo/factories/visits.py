"""Factories of visits, their tasks and findings."""

from factory.declarations import LazyAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from registry.demo.factories.audio import ZoneFactory
from registry.demo.factories.facts import moment
from registry.demo.factories.places import SiteFactory, UserFactory
from registry.visits.models import Finding, FollowUp, Severity, TaskKind, Visit, VisitKind, VisitTask


class VisitFactory(DjangoModelFactory[Visit]):
    """A visit that nobody has begun."""

    class Meta:
        """Table."""

        model = Visit

    site = SubFactory(SiteFactory)
    kind = VisitKind.OTHER
    title = "Yearly check"
    starts_at = Sequence(moment)


class VisitTaskFactory(DjangoModelFactory[VisitTask]):
    """Dials of a zone, not answered yet."""

    class Meta:
        """Table."""

        model = VisitTask

    visit = SubFactory(VisitFactory)
    kind = TaskKind.CONTROLS
    zone = LazyAttribute(lambda task: ZoneFactory(site=task.visit.site))


class FindingFactory(DjangoModelFactory[Finding]):
    """A rattle that was reported without a visit."""

    class Meta:
        """Table."""

        model = Finding

    site = SubFactory(SiteFactory)
    severity = Severity.DEGRADED
    says = Sequence(lambda n: f"Loudspeaker {n + 1} rattles")
    follow_up = FollowUp.NEXT_VISIT
    found_by = SubFactory(UserFactory)
    found_at = Sequence(moment)
