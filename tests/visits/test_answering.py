"""A measurement answers its own task: what is inside its limits is done, what is outside is done and not in order."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.demo.factories import BaselineFactory, ReadingFactory
from registry.visits.models import Visit
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.working import record_task
from sites.models import User
from sites.versions import version_of
from tests.visits.visit_work import LEVEL, OHM, visit_with_tasks

OPEN: dict[str, Any] = {"impedance_ohm": None, "frequency_hz": 1000.0, "is_open": True}
QUIET = LEVEL | {"background_db": None, "track": "Reference track 1"}


@pytest.fixture
def agreed(zone: Zone, line: Line, tech: User) -> Visit:
    """A visit begun after 60 ± 2 dB were agreed for the zone."""
    ReadingFactory(zone=zone, level_db=60.0, background_db=None)
    BaselineFactory(site=zone.site)
    visit = visit_with_tasks(line, tech)
    visit.begun_at = timezone.now()
    visit.save()
    return visit


def _result(visit: Visit, kind: str) -> tuple[str, str]:
    task = visit.tasks.get(kind=kind)
    return task.result, task.changed_by.username if task.changed_by else ""


def test_a_level_answers_for_its_zone_as_found_and_again_as_left(agreed: Visit, zone: Zone, tech: User) -> None:
    record_visit_reading(by=tech, visit=agreed, zone=zone, state="as found", values=QUIET | {"level_db": 66.0})
    assert _result(agreed, "levels") == ("wrong", "tech")
    record_visit_reading(by=tech, visit=agreed, zone=zone, state="as left", values=QUIET | {"level_db": 60.3})
    assert _result(agreed, "levels") == ("done", "tech")


def test_a_level_that_nothing_judges_is_left_to_the_tech(visit: Visit, zone: Zone, tech: User) -> None:
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)
    assert _result(visit, "levels") == ("", "")


# 4 Ω computed: 4.1 Ω is inside ±20 %, twice as much and no continuity at all are not (tests/planning has the limits).
@pytest.mark.parametrize(
    ("values", "result"), [(OHM, "done"), (OHM | {"impedance_ohm": 8.1}, "wrong"), (OPEN, "wrong")]
)
def test_an_impedance_answers_for_its_line(
    values: dict[str, Any], result: str, visit: Visit, line: Line, tech: User
) -> None:
    record_task(by=tech, task=visit.tasks.get(kind="impedance"), result="not done", why_not="no key")
    record_visit_measurement(by=tech, visit=visit, line=line, values=values)
    task = visit.tasks.get(kind="impedance")
    assert (task.result, task.why_not) == (result, "")
    record_visit_measurement(by=tech, visit=visit, line=line, values=OHM, corrects=True)
    assert _result(visit, "impedance") == ("done", "tech")


def test_the_tech_may_say_otherwise_and_a_second_sending_changes_nothing(agreed: Visit, zone: Zone, tech: User) -> None:
    task, at = agreed.tasks.get(kind="levels"), timezone.now() - timedelta(minutes=1)
    seen = version_of(task)
    for _ in range(2):
        record_visit_reading(by=tech, visit=agreed, zone=zone, state="as found", values=QUIET | {"level_db": 60}, at=at)
        # A phone answers on the copy that it had before the level was sent: its own verdict is no conflict.
        record_task(by=tech, task=task, result="wrong", version=seen)
    assert _result(agreed, "levels") == ("wrong", "tech")
    assert task.history.count() == 3
