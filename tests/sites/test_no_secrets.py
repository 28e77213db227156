"""Every field of free text refuses a secret, whoever writes it, and nothing is half-saved."""

from collections.abc import Callable
from datetime import time
from typing import Any

import pytest
from django.apps import apps
from django.db.models import CharField, TextField
from django.utils import timezone

from registry.demo.factories import PlaceFactory, SiteFactory, UserFactory
from registry.equipment.actions import record_settings
from registry.equipment.models import ConfigurationRecord, State
from registry.visits.closing import add_addendum, close_visit
from registry.visits.finding import add_finding, close_finding, edit_finding
from registry.visits.keeping import use_part
from registry.visits.models import Finding, TaskKind, Visit
from registry.visits.plan_editing import WantedTask, save_plan
from registry.visits.scheduling import call_off_visit
from registry.visits.working import record_task
from sites.models import Role, User
from sites.no_secrets import prose_of
from sites.put import Batch, RefusedError
from tests.visits.visit_work import CLOSING, FINDING, hall_with_a_line, visit_with_tasks

SECRET = "password: sparrow77 on the router label"
HARMLESS = "The password is kept in the safe of the office; ask the manager for the code of the gate."
# Computed, not typed; or judged by an action of its own.
OTHERWISE = {"LineMeasurement.says", "Line.says", "Site.access_notes", "Space.notes", "Site.address", "Setting.value"}


def test_every_long_text_is_looked_through() -> None:
    models = [model for model in apps.get_models() if model.__module__.startswith(("registry.", "sites."))]
    long = {
        f"{model.__name__}.{field.name}"
        for model in models
        if not hasattr(model, "instance_type")
        for field in model._meta.concrete_fields
        if isinstance(field, CharField | TextField) and not field.choices and (field.max_length or 400) >= 400
        if field.attname not in prose_of(model)
    }
    assert long - OTHERWISE == {"SearchEntry.text", "FoldPlan.inputs", "SignIn.session_data"}


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(username="tech", role=Role.TECH)


@pytest.fixture
def visit(tech: User) -> Visit:
    return visit_with_tasks(hall_with_a_line(SiteFactory()), tech)


def _plan(visit: Visit, by: User, text: str) -> None:
    values = {"site": visit.site, "name": "Yearly", "rule": "FREQ=YEARLY", "starts_on": visit.starts_at.date()}
    values |= {"counting": "due", "minutes": 60, "starts_at": time(9)}
    save_plan(by=by, plan=None, values=values, tasks=[WantedTask(TaskKind.OTHER, 0, text)])


def _called_off(visit: Visit, by: User, text: str) -> None:
    call_off_visit(by=by, visit=visit_with_tasks(hall_with_a_line(SiteFactory())), reason=text)


def _addendum(visit: Visit, by: User, text: str) -> None:
    closed = close_visit(by=by, visit=visit, values={**CLOSING, "outcome": "exceptions", "why_not": "No ladder"})
    add_addendum(by=by, visit=closed, says=text)


WRITES: dict[str, Callable[[Visit, User, str], Any]] = {
    "finding": lambda visit, by, text: add_finding(
        by=by, site=visit.site, visit=visit, values={**FINDING, "says": text}
    ),
    "task": lambda visit, by, text: record_task(by=by, task=visit.tasks.get(kind=TaskKind.CONTROLS), found=text),
    "part": lambda visit, by, text: use_part(by=by, visit=visit, what=text),
    "closing": lambda visit, by, text: close_visit(
        by=by, visit=visit, values={**CLOSING, "outcome": "exceptions", "why_not": text}
    ),
    "addendum": _addendum,
    "plan": _plan,
    "calling off": _called_off,
}


@pytest.mark.parametrize("name", WRITES)
def test_a_secret_is_refused_and_words_about_one_are_not(name: str, visit: Visit, tech: User) -> None:
    with pytest.raises(RefusedError, match="looks like a secret \\(password: ••••\\)"):
        WRITES[name](visit, tech, SECRET)
    if name != "addendum":
        WRITES[name](visit, tech, HARMLESS)


def test_a_finding_stays_without_one_when_it_is_edited_and_closed(visit: Visit, tech: User) -> None:
    finding = add_finding(by=tech, site=visit.site, values=FINDING)
    for write in (
        lambda: edit_finding(by=tech, finding=finding, values={"says": SECRET}),
        lambda: close_finding(by=tech, finding=finding, done=SECRET),
    ):
        with pytest.raises(RefusedError, match="looks like a secret"):
            write()
    stored = Finding.objects.get()
    assert (stored.says, stored.done, stored.history.count()) == (FINDING["says"], "", 1)


def test_a_setting_named_like_a_secret_is_refused_with_its_value(tech: User) -> None:
    key = (PlaceFactory().pk, State.AS_FOUND, timezone.now())
    row = {"settings": {"wi-fi password": ("sparrow77", ""), "high-pass": ("80", "Hz")}}
    with pytest.raises(RefusedError, match="looks like a secret \\(wi-fi password: ••••\\)"):
        record_settings(Batch(by=tech), {key: row})
    assert not ConfigurationRecord.objects.exists()
    record_settings(Batch(by=tech), {key: {"settings": {"high-pass": ("80", "Hz"), "password": ("in the safe", "")}}})
