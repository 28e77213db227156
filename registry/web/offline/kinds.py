"""What can be recorded without the network: one function for each form, which gives it to the action of that form."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, NamedTuple

from django.forms import BaseForm
from django.http import QueryDict
from django.urls import reverse
from django.utils.datastructures import MultiValueDict

from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.actions import record_readings
from registry.baselines.queries import restores_visible_to
from registry.baselines.restoring import (
    record_all_found_right,
    record_found_right,
    record_restore_reading,
    record_step,
)
from registry.equipment.models import State
from registry.visits.finding import add_finding, close_finding
from registry.visits.keeping import add_visit_photo, use_part
from registry.visits.queries import findings_visible_to, tasks_of, visits_visible_to
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.working import begin_visit, record_task
from registry.web.access import SignedIn, changeable, visible
from registry.web.audio.reading_forms import NewReadingForm
from registry.web.baselines.forms import RestoreReadingForm, StepForm
from registry.web.visits.finding_forms import FindingDoneForm, FindingForm
from registry.web.visits.forms import LevelForm, PartForm, TaskForm, VisitImpedanceForm, VisitPhotoForm
from registry.web.visits.task_views import whole_answer
from sites.models import Site
from sites.photos import MOST_BYTES
from sites.put import Batch
from sites.queries import sites_visible_to
from sites.versions import version_of


class NotValidError(ValueError):
    """Raised when a form refuses what was typed; `problems` says what, by field."""

    def __init__(self, form: BaseForm) -> None:
        self.problems = {name: [str(each) for each in said] for name, said in form.errors.items()}
        super().__init__("; ".join(each for said in self.problems.values() for each in said))


@dataclass(frozen=True)
class Asked:
    """What an entry asks for: by whom, at which address, what was typed, and when."""

    request: SignedIn
    ids: Mapping[str, Any]
    data: QueryDict
    files: MultiValueDict[str, Any]
    at: datetime

    def row(self, rows: Any, **lookup: Any) -> Any:
        """Return what the address names, in order to change it: 404 for a stranger, 403 for a reader."""
        return changeable(self.request, rows(self.request.user), **(lookup or {"pk": self.ids["pk"]}))


class Done(NamedTuple):
    """Where the outcome can be looked at, and the version that the next entry of the same form has to name."""

    page: str
    version: str = ""


def _checked(form: BaseForm) -> dict[str, Any]:
    if not form.is_valid():
        raise NotValidError(form)
    return form.cleaned_data


def _begin(asked: Asked) -> Done:
    visit = begin_visit(by=asked.request.user, visit=asked.row(visits_visible_to), at=asked.at)
    return Done(reverse("visit", args=[visit.pk]))


def _task_of(asked: Asked) -> Any:
    visit = asked.row(visits_visible_to)
    return visit, visible(tasks_of(visit), pk=asked.ids["task"])


def _at_task(asked: Asked) -> Done:
    return Done(reverse("visit-task", args=[asked.ids["pk"], asked.ids["task"]]))


def _task(asked: Asked) -> Done:
    _, row = _task_of(asked)
    form = TaskForm(whole_answer(asked.data, row), instance=row)
    _checked(form)
    done = record_task(by=asked.request.user, task=row, **form.values(), version=form.version(), at=asked.at)
    return _at_task(asked)._replace(version=version_of(done))


def _level(asked: Asked) -> Done:
    visit, row = _task_of(asked)
    zone = visible(zones_visible_to(asked.request.user), pk=row.zone_id)
    form = LevelForm(asked.data)
    state = State(_checked(form)["state"])
    values = form.values(without=("state",))
    record_visit_reading(by=asked.request.user, visit=visit, zone=zone, state=state, values=values, at=asked.at)
    return _at_task(asked)


def _impedance(asked: Asked) -> Done:
    visit, row = _task_of(asked)
    line = visible(lines_visible_to(asked.request.user), pk=row.line_id)
    form = VisitImpedanceForm(asked.data)
    corrects = _checked(form)["corrects"]
    values = form.values(without=("corrects",))
    record_visit_measurement(
        by=asked.request.user, visit=visit, line=line, values=values, corrects=corrects, at=asked.at
    )
    return _at_task(asked)


def _photo(asked: Asked) -> Done:
    visit = asked.row(visits_visible_to)
    findings = findings_visible_to(asked.request.user).filter(site=visit.site_id, closed_at__isnull=True)
    typed = _checked(VisitPhotoForm(asked.data, asked.files, findings=findings))
    data = typed["photo"].read(MOST_BYTES + 1)
    words = {name: typed[name] for name in ("caption", "finding")}
    add_visit_photo(by=asked.request.user, visit=visit, data=data, **words, at=asked.at)
    return Done(reverse("visit", args=[visit.pk]))


def _part(asked: Asked) -> Done:
    visit, form = asked.row(visits_visible_to), PartForm(asked.data)
    _checked(form)
    use_part(by=asked.request.user, visit=visit, **form.values(), at=asked.at)
    return Done(reverse("visit", args=[visit.pk]))


def _finding_at_visit(asked: Asked) -> Done:
    visit = asked.row(visits_visible_to)
    return _finding(asked, visit.site, visit=visit)


def _finding_at_site(asked: Asked) -> Done:
    return _finding(asked, asked.row(sites_visible_to, code=asked.ids["code"]))


def _finding(asked: Asked, site: Site, **visit: Any) -> Done:
    form = FindingForm(asked.data, site=site)
    _checked(form)
    made = add_finding(by=asked.request.user, site=site, values=form.columns(), at=asked.at, **visit)
    return Done(reverse("finding", args=[made.pk]))


def _finding_done(asked: Asked) -> Done:
    found = asked.row(findings_visible_to)
    visits = visits_visible_to(asked.request.user).filter(site=found.site_id, begun_at__isnull=False)
    form = FindingDoneForm(asked.data, visits=visits, instance=found)
    typed = _checked(form)
    words = {"done": typed["done"], "visit": typed["at_visit"], "version": form.version()}
    close_finding(by=asked.request.user, finding=found, **words, at=asked.at)
    return Done(reverse("finding", args=[found.pk]))


def _reading(asked: Asked) -> Done:
    zone = asked.row(zones_visible_to)
    data = asked.data.copy()
    # Left empty, it was read when it was written down.
    data["taken_at"] = data.get("taken_at") or asked.at.astimezone(zone.site.zone_info).replace(tzinfo=None).isoformat()
    form = NewReadingForm(data, zone=zone)
    _checked(form)
    values = form.values()
    key = (zone.pk, values["state"], values["taken_at"])
    record_readings(Batch(by=asked.request.user), {key: {**values, "zone_id": zone.pk}})
    return Done(reverse("zone", args=[zone.pk]))


def _at_restore(asked: Asked, version: str = "") -> Done:
    return Done(reverse("restore", args=[asked.ids["pk"]]), version)


def _step(asked: Asked) -> Done:
    restore, form = asked.row(restores_visible_to), StepForm(asked.data)
    answer, values = _checked(form)["answer"], form.values()
    if answer == "right":
        typed = {name: values[name] for name in ("key", "seen", "found")}
        step = record_found_right(by=asked.request.user, restore=restore, **typed, at=asked.at)
    else:
        step = record_step(by=asked.request.user, restore=restore, **values, at=asked.at)
    return _at_restore(asked, step.version)


def _group(asked: Asked) -> Done:
    restore = asked.row(restores_visible_to)
    words = {name: asked.data.get(name, "") for name in ("subject", "name")}
    record_all_found_right(by=asked.request.user, restore=restore, **words, at=asked.at)
    return _at_restore(asked)


def _restore_reading(asked: Asked) -> Done:
    restore, form = asked.row(restores_visible_to), RestoreReadingForm(asked.data)
    typed = _checked(form)
    zone = visible(zones_visible_to(asked.request.user), site=restore.site_id, pk=typed["zone"])
    values = form.values(without=("zone", "state"))
    state = State(typed["state"])
    record_restore_reading(by=asked.request.user, restore=restore, zone=zone, state=state, values=values, at=asked.at)
    return _at_restore(asked)


# By the name of the address that the form is sent to.
KINDS: Final[Mapping[str, Callable[[Asked], Done]]] = {
    "visit-begin": _begin,
    "visit-task": _task,
    "visit-level": _level,
    "visit-impedance": _impedance,
    "visit-photo-new": _photo,
    "visit-part-new": _part,
    "visit-finding-new": _finding_at_visit,
    "finding-new": _finding_at_site,
    "finding-close": _finding_done,
    "reading-new": _reading,
    "restore-step": _step,
    "restore-group": _group,
    "restore-reading": _restore_reading,
}
