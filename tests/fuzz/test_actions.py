"""Actions that are handed what no form would let through: refused, and then nothing is written; or taken."""

import math
import random
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from typing import Any, Final, NamedTuple

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, models, transaction

from registry.audio.editing import rewire_coil, save_line
from registry.audio.models import Coil, Line
from registry.baselines.actions import correct_reading, freeze_baseline
from registry.baselines.models import Reading
from registry.equipment.editing import save_place
from registry.equipment.models import Place
from registry.visits.closing import close_visit
from registry.visits.finding import add_finding, edit_finding
from registry.visits.models import Finding, Visit
from registry.visits.scheduling import schedule_visit
from registry.visits.working import record_minutes, record_task
from sites.actions import save_site
from sites.editing import add_client, add_rack, add_site, add_space, save_client, save_rack, save_space
from sites.models import Rack, Site, Space, User
from sites.tokens import issue_token
from tests.fuzz import register
from tests.fuzz.hostile import LONG, TEXTS

pytestmark = pytest.mark.django_db

ROUNDS: Final = int(LONG or 12)
# What a refusal may be: an action's own words, the model's, or a constraint of the database.
REFUSALS: Final = (ValueError, ValidationError, DatabaseError, OverflowError)
Values = dict[str, Any]
NOW: Final = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)


HOSTILE: Final[dict[type, tuple[Any, ...]]] = {
    str: TEXTS,
    int: (-1, 0, 2**15, 2**31, 2**63, -(2**63) - 1, 10**400),
    float: (-1.0, -0.0, 5e-324, 1e308, math.inf, -math.inf, math.nan),
    datetime: (datetime.min.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC)),
}


class Deed(NamedTuple):
    """An action with all but its values, what it is sound with, and whether it takes them as one mapping."""

    action: Callable[..., Any]
    sound: Values
    mapped: bool = True

    def run(self, values: Values) -> None:
        """Do it."""
        self.action(values=values) if self.mapped else self.action(**values)

    def spoilt(self, rng: random.Random) -> Values:
        """Return the values with one or two made hostile: of the column's own type, as the type checker holds."""
        values = dict(self.sound)
        # Rows that a form or the API looked up before stay what they are.
        names = [name for name in sorted(values) if name[-3:] != "_id" and not isinstance(values[name], models.Model)]
        for name in rng.sample(names, min(len(names), rng.randint(1, 2))):
            values[name] = rng.choice(HOSTILE.get(type(values[name]), (None, *TEXTS)))
        return values


def columns(row: Any, *names: str) -> Values:
    """Return the columns of a row that a form would send."""
    return {name: getattr(row, name) for name in names}


def deeds_of_the_office(site: Site, by: User) -> dict[str, Deed]:
    """Return actions that edit what is known of a client."""
    space, rack = Space.objects.filter(site=site)[0], Rack.objects.filter(site=site)[0]
    company = columns(site.client, "name", "contact", "email", "phone")
    here = columns(site, "name", "address", "time_zone", "units", "access_notes", "voice_alarm")
    room = {"name": "New", "ceiling_m": 3.0, "listener_height_m": 1.2, "area_m2": 20.0, "use": "", "notes": ""}
    unit = {"name": "R9", "space": space, "height_u": 12, "max_load_kg": 100.0, "circuit_v": 230.0, "circuit_a": 10.0}
    return {
        "add client": Deed(partial(add_client, by=by), company | {"name": "New"}),
        "save client": Deed(partial(save_client, by=by, client=site.client), company),
        "add site": Deed(partial(add_site, by=by, client=site.client), here | {"code": "new"}),
        "save site": Deed(partial(save_site, by=by, site=site), here),
        "add space": Deed(partial(add_space, by=by, site=site), room),
        "save space": Deed(partial(save_space, by=by, space=space), room),
        "add rack": Deed(partial(add_rack, by=by, site=site), unit),
        "save rack": Deed(partial(save_rack, by=by, rack=rack), unit),
        "issue token": Deed(partial(issue_token, by=by, every_client=True), {"name": "N", "expires_at": NOW}, False),
    }


def deeds_of_the_equipment(site: Site, by: User) -> dict[str, Deed]:
    """Return actions that edit what is wired and recorded."""
    place, line = Place.objects.filter(site=site)[0], Line.objects.filter(site=site)[0]
    coil, reading = Coil.objects.filter(line=line)[0], Reading.objects.filter(zone__site=site)[0]
    wire = columns(coil, "line_id", "string", "order", "tap_w", "plus", "minus", "cable", "cable_m")
    level = columns(reading, "dial", "cap", "level_db", "background_db", "drive_v", "spot", "meter", "track")
    frozen = {"reason": "Again", "number": 1, "at": NOW}
    return {
        "save place": Deed(
            partial(save_place, by=by, site=site, place=place), columns(place, "name", "ip", "hostname")
        ),
        "save line": Deed(
            partial(save_line, by=by, line=line), columns(line, "name", "amplifier_id", "channel", "kind")
        ),
        "rewire coil": Deed(partial(rewire_coil, by=by, coil=coil), wire),
        "correct reading": Deed(partial(correct_reading, by=by, reading=reading), level),
        "freeze": Deed(partial(freeze_baseline, by=by, site=site, with_exceptions=True), frozen, False),
    }


def deeds_of_a_visit(site: Site, by: User) -> dict[str, Deed]:
    """Return actions of a visit that is under way."""
    visit = Visit.objects.create(site=site, title="Open", starts_at=NOW, begun_at=NOW)
    task, finding = visit.tasks.create(kind="fixings"), Finding.objects.filter(site=site, closed_at__isnull=True)[0]
    answer = {"found": "", "left": "", "result": "", "why_not": ""}
    said = columns(finding, "says", "severity", "follow_up", "due_on")
    end = {"outcome": "done", "result": "Plays", "why_not": "", "signature": "A. Tech", "minutes": 60}
    return {
        "add finding": Deed(partial(add_finding, by=by, site=site, visit=visit), said),
        "edit finding": Deed(partial(edit_finding, by=by, finding=finding), said),
        "close visit": Deed(partial(close_visit, by=by, visit=visit), end),
        "record task": Deed(partial(record_task, by=by, task=task), answer, False),
        "record minutes": Deed(partial(record_minutes, by=by, visit=visit), {"minutes": 5}, False),
        "schedule": Deed(
            partial(schedule_visit, by=by, site=site), {"title": "Look", "starts_at": NOW, "minutes": 60}, False
        ),
    }


def test_what_an_action_refuses_is_not_written(demo: Site, manager: User) -> None:
    wrong, ended = [], {"refused": 0, "taken": 0}
    table = deeds_of_the_office(demo, manager) | deeds_of_the_equipment(demo, manager) | deeds_of_a_visit(demo, manager)
    before, digest = register.counts(), register.digest()
    for name, deed in table.items():
        for number in range(ROUNDS):
            values = deed.spoilt(random.Random(f"{name}:{number}"))
            sid = transaction.savepoint()
            try:
                deed.run(values)
            except REFUSALS:
                ended["refused"] += 1
                if register.counts() != before:
                    wrong.append(f"{name} refused {values}, yet wrote")
                transaction.savepoint_commit(sid)
            except Exception as error:
                wrong.append(f"{name} with {values}: {error!r}"[:400])
                transaction.savepoint_rollback(sid)
            else:
                ended["taken"] += 1
                transaction.savepoint_rollback(sid)
    assert not wrong, "\n".join(wrong)
    assert register.digest() == digest
    assert min(ended.values()) > 20, ended
