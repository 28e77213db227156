"""What an open task shows: its answer so far, what is expected, its forms and the cautions beside them."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.forms import BaseForm

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Line
from registry.audio.queries import lines_visible_to
from registry.baselines.judged import judged
from registry.baselines.models import Reading
from registry.baselines.queries import newest_readings
from registry.engineering.exposure import exposure_caution
from registry.planning.impedance import COMPUTED_TOLERANCE
from registry.planning.sequence import hands_off, wired_at
from registry.visits.measured import baseline_at, measured_at, zones_at
from registry.visits.models import TaskKind, Visit, VisitTask
from registry.visits.queries import tasks_of
from registry.visits.task_list import TASKS
from registry.web.audio.zone_page import lines_feeding
from registry.web.commissioning import cautions
from registry.web.visits.forms import LevelForm, TaskForm, VisitImpedanceForm
from registry.web.visits.visit_page import TaskRow, cautions_of, findings_at, sentence, task_rows
from sites.models import User

SHARED = ("meter", "meter_class", "track")
Refused = Mapping[str, BaseForm]


def task_page(user: User, visit: Visit, task: VisitTask, refused: Refused) -> dict[str, Any]:
    """Return the context of one task. A constant number of queries."""
    baseline, measured, wired = baseline_at(visit), measured_at(visit), wired_at(visit.site)
    zones = zones_at(measured.levels, baseline, [task.zone] if task.zone else [])
    (row,) = task_rows([task], zones, measured.impedances, hands_off(wired))
    tasks = list(tasks_of(visit))
    context: dict[str, Any] = {
        "visit": visit,
        "site": visit.site,
        "row": row,
        "baseline": baseline,
        "kind": TASKS[TaskKind(task.kind)],
        "cautions": cautions_of(TaskKind(task.kind), wired),
        "editable": visit.is_open and visit.begun_at is not None and user.may_write,
        "sentence": sentence(visit, tasks, findings_at(user, visit).count(), zones.values()),
        "refused": [str(said) for form in refused.values() for all_said in form.errors.values() for said in all_said],
        "form": refused.get("form") or TaskForm(instance=task, auto_id=f"task-{task.pk}-%s"),
    }
    if row.is_level:
        context |= _level(user, measured.levels, row, refused)
    if row.is_impedance:
        context |= _impedance(user, row, refused, context["cautions"])
    return context


def _level(user: User, levels: Sequence[Reading], row: TaskRow, refused: Refused) -> dict[str, Any]:
    assert row.zone is not None
    before = max(levels, key=lambda each: (each.taken_at, each.pk), default=None)
    zone, level_db = row.zone.zone, (row.zone.frozen or {}).get("level_db")
    unsent = LevelForm(initial=_same(row, before), auto_id=f"level-{row.task.pk}-%s")
    alive = lines_feeding(user, zone)
    return {
        "last": judged(zone, row.zone.frozen, newest_readings([zone]).get(zone.pk)),
        "level": refused.get("level") or unsent,
        "baseline_db": level_db,
        "exposure": exposure_caution(level_db),
        "alarm": any(not line.may_change for line in alive),
    }


def _same(row: TaskRow, before: Reading | None) -> dict[str, Any]:
    """The meter is that of this visit's last reading, else the baseline's; so is the track."""
    frozen = (row.zone and row.zone.frozen) or {}
    return {name: getattr(before, name, "") or frozen.get(name) or "" for name in SHARED}


def _impedance(user: User, row: TaskRow, refused: Refused, said: Sequence[str]) -> dict[str, Any]:
    line = with_wiring(lines_visible_to(user)).get(pk=row.task.line_id or 0)
    hertz = row.measurement.frequency_hz if row.measurement else 1000.0
    unsent = VisitImpedanceForm(initial={"frequency_hz": hertz}, auto_id=f"impedance-{row.task.pk}-%s")
    return {
        "impedance": refused.get("impedance") or unsent,
        "line": line,
        "at_the_line": [words for words in cautions.at_line(line)["impedance"] if words not in said],
        **_expected(line),
    }


def _expected(line: Line) -> dict[str, Any]:
    load = load_of(line) if line.coils.all() else None
    ohm = load.impedance_ohm if load else None
    if ohm is None:
        return {"expected_ohm": None}
    return {
        "expected_ohm": ohm,
        "least_ohm": ohm * (1 - COMPUTED_TOLERANCE),
        "most_ohm": ohm * (1 + COMPUTED_TOLERANCE),
        "allowed_ohm": load.channel_minimum_ohm if load else None,
    }
