"""Any order of deeds at a site leaves recorded facts, frozen baselines and closed visits as they are.

Baselines are numbered without gaps, and what is exported is what the register holds.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.serializers import serialize
from django.db import DatabaseError, transaction
from django.db.models import QuerySet
from django.utils import timezone
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from registry.baselines.actions import correct_reading, freeze_baseline
from registry.baselines.models import Baseline, Reading, Restore
from registry.baselines.restoring import record_step, sheet_of, sign_restore, start_restore
from registry.demo.factories import UserFactory
from registry.exchange.exporting import export_survey
from registry.exchange.folder import SurveyRefusedError
from registry.exchange.importing import import_survey
from registry.visits.closing import close_visit
from registry.visits.models import Visit
from registry.visits.scheduling import schedule_visit
from registry.visits.working import begin_visit, record_task
from sites.actions import save_site
from sites.facts import Fact
from sites.models import Site
from tests.exchange.small_survey import SMALL, survey
from tests.fuzz import register
from tests.fuzz.hostile import LONG, fixed, near, texts

pytestmark = pytest.mark.django_db

FACTS = [model for model in register.tables() if issubclass(model, Fact)]
names = st.sampled_from(sorted(SMALL))


class SiteMachine(RuleBasedStateMachine):
    """The small site, and people who do anything to it in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.by = UserFactory(role="manager")
        import_survey(survey(), by=self.by)
        self.site = Site.objects.get(code="acre")
        self.facts: dict[tuple[str, int], tuple[Any, ...]] = {}
        self.closed: dict[int, str] = {}

    def teardown(self) -> None:
        """Take all of it back."""
        transaction.set_rollback(True)
        self.atomic.__exit__(None, None, None)

    def visits(self) -> QuerySet[Visit]:
        """Return the visits of this site."""
        return Visit.objects.filter(site=self.site)

    def done(self, deed: Callable[[], Any]) -> bool:
        """Do something; whether it was taken. What is refused leaves no row behind."""
        before = register.counts()
        try:
            with transaction.atomic():
                deed()
        except (ValueError, DatabaseError):
            assert register.counts() == before
            return False
        return True

    @rule(data=st.data(), name=names)
    def import_edited(self, data: st.DataObject, name: str) -> None:
        """Send a file of the survey with a few signs altered, alone."""
        text = data.draw(near(SMALL[name]))
        self.done(lambda: import_survey({name: text.encode("utf-8", "surrogatepass")}, by=self.by))

    @rule(notes=texts)
    def edit(self, notes: str) -> None:
        """Write anything into the access notes."""
        self.done(lambda: save_site(by=self.by, site=self.site, values={"access_notes": notes}))

    @rule(reason=texts, accepted=st.booleans())
    def freeze(self, reason: str, accepted: bool) -> None:
        """Freeze a baseline."""
        self.done(lambda: freeze_baseline(by=self.by, site=self.site, reason=reason, with_exceptions=accepted))

    @rule(level=st.floats(-10, 200), pick=st.integers(0, 99))
    def correct(self, level: float, pick: int) -> None:
        """Correct any reading, a corrected one too."""
        found = list(Reading.objects.filter(zone__site=self.site).order_by("pk"))
        self.done(lambda: correct_reading(by=self.by, reading=found[pick % len(found)], values={"level_db": level}))

    @precondition(lambda self: Baseline.objects.filter(site=self.site).exists())
    @rule(found=texts, done=st.booleans(), pick=st.integers(0, 99), open_steps=st.booleans())
    def restore(self, found: str, done: bool, pick: int, open_steps: bool) -> None:
        """Answer a step of the newest baseline's sheet, and try to sign it."""
        restore = start_restore(by=self.by, baseline=Baseline.objects.filter(site=self.site).latest("number"))
        steps = [step.key for group in sheet_of(restore.baseline) for step in group.steps]
        key = steps[pick % len(steps)] if steps else "none"
        self.done(lambda: record_step(by=self.by, restore=restore, key=key, found=found, done=done))
        self.done(lambda: sign_restore(by=self.by, restore=restore, signature=found, with_open_steps=open_steps))
        assert Restore.objects.filter(site=self.site, signed_at__isnull=True).count() <= 1

    @rule(title=texts)
    def schedule(self, title: str) -> None:
        """Schedule a visit with one task, and begin it."""
        then = timezone.now() - timedelta(hours=1)

        def deed() -> None:
            visit = schedule_visit(by=self.by, site=self.site, title=title, starts_at=then)
            visit.tasks.create(kind="fixings")
            begin_visit(by=self.by, visit=visit, at=then)

        self.done(deed)

    @precondition(lambda self: self.visits().exists())
    @rule(found=texts, result=st.sampled_from(["done", "wrong", "not done", ""]), why=texts, pick=st.integers(0, 99))
    def work(self, found: str, result: str, why: str, pick: int) -> None:
        """Answer the task of any visit, and try to close it."""
        visits = list(self.visits().order_by("pk"))
        visit = visits[pick % len(visits)]
        answer = {"found": found, "result": result, "why_not": why if result == "not done" else ""}
        end = {"outcome": "exceptions" if why else "done", "result": found, "why_not": why, "signature": "A. Tech"}
        self.done(lambda: record_task(by=self.by, task=visit.tasks.get(), **answer))
        if self.done(lambda: close_visit(by=self.by, visit=visit, values=end | {"minutes": 5})):
            assert visit.pk not in self.closed
            self.closed[visit.pk] = told(visit.pk)

    @rule()
    def export(self) -> None:
        """Write the site as a survey and read it: nothing changes, and it is written the same."""
        exported = export_survey(self.site)
        try:
            assert import_survey(exported, by=self.by).changes == []
        except SurveyRefusedError as refused:
            raise AssertionError(f"an export is refused: {refused}") from refused
        assert export_survey(self.site) == exported

    @invariant()
    def facts_stay(self) -> None:
        """Every fact that was ever seen is there as it was."""
        now = {(model._meta.label, row[0]): row for model in FACTS for row in model._base_manager.values_list()}
        assert self.facts.items() <= now.items()
        self.facts = now

    @invariant()
    def baselines_are_numbered_without_gaps(self) -> None:
        """One, two, three."""
        numbers = list(Baseline.objects.filter(site=self.site).order_by("number").values_list("number", flat=True))
        assert numbers == list(range(1, len(numbers) + 1))

    @invariant()
    def closed_visits_stay(self) -> None:
        """What was signed is what is there."""
        assert {pk: told(pk) for pk in self.closed} == self.closed


def told(pk: int) -> str:
    """Return a visit with its tasks as text."""
    visit = Visit.objects.get(pk=pk)
    return serialize("json", [visit]) + serialize("json", visit.tasks.order_by("pk"))


def test_whatever_is_done_to_a_site() -> None:
    steps = settings(fixed, max_examples=int(LONG or 6), stateful_step_count=10, phases=[Phase.generate])
    run_state_machine_as_test(SiteMachine, settings=steps)
