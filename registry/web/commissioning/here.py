"""Where a request is in a run: the run, how far it is, the stop, and what every page of it shows."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.forms import BaseForm
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.planning.commissioning_queries import commissionings_visible_to
from registry.planning.models import Commissioning, CommissioningStep
from registry.planning.sequence import Progress, Step, Stop, Subject, progress_of
from registry.web.access import SignedIn, changeable, visible
from registry.web.commissioning.forms import CouldNotForm
from registry.web.crumbs import Crumbs, site_crumbs

Refused = Mapping[str, BaseForm]
STOP_PAGES = {
    Subject.TRACK: "commissioning-track",
    Subject.LINE: "commissioning-line",
    Subject.ZONE: "commissioning-zone",
    Subject.PLACE: "commissioning-place",
}


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of a stop, with its answer and the form that says why it could not be done."""

    step: Step
    answer: CommissioningStep | None
    could_not: CouldNotForm

    @property
    def seen(self) -> str:
        """The version that the page shows."""
        return self.answer.version if self.answer else ""


@dataclass(frozen=True, slots=True)
class Here:
    """A stop of a run, and whether its steps can be recorded by who is looking."""

    run: Commissioning
    progress: Progress
    stop: Stop
    editable: bool

    def row(self, word: str, refused: Refused | None = None) -> StepRow | None:
        """Return one step; None where the stop offers none."""
        step = next((step for step in self.stop.steps if step.word == word), None)
        if step is None:
            return None
        form = (refused or {}).get(step.key)
        unsent = CouldNotForm(initial={"key": step.key}, auto_id=f"{anchor_of(word)}-%s")
        return StepRow(step, self.progress.answers.get(step.key), form if isinstance(form, CouldNotForm) else unsent)


def anchor_of(word: str) -> str:
    """Return the fragment that stands for a step on its page."""
    return word.replace(" ", "-")


def stop_address(run: Commissioning, stop: Stop) -> str:
    """Return the address of a stop."""
    return reverse(STOP_PAGES[stop.subject], args=[run.pk] if stop.subject == Subject.TRACK else [run.pk, stop.pk])


def step_address(run: Commissioning, stop: Stop, step: Step) -> str:
    """Return the address of a step on its stop's page."""
    return f"{stop_address(run, stop)}#{anchor_of(step.word)}"


def run_crumbs(run: Commissioning) -> Crumbs:
    """Return the way down to a run."""
    return [*site_crumbs(run.site), ("Commissioning", reverse("commissioning", args=[run.pk]))]


def here(request: SignedIn, pk: int, subject: Subject, at: int = 0) -> Here:
    """Find a stop to look at: 404 for a stranger, and where the site has no such stop."""
    return _at(visible(commissionings_visible_to(request.user), pk=pk), request, subject, at)


def here_to_write(request: SignedIn, pk: int, subject: Subject, at: int = 0) -> Here:
    """Find a stop in order to record something at it: 403 for who only reads."""
    return _at(changeable(request, commissionings_visible_to(request.user), pk=pk), request, subject, at)


def here_at_step(request: SignedIn, pk: int, key: str) -> tuple[Here, Step] | None:
    """Find the stop of a step by its key, in order to record something; None where no such step is offered."""
    run = changeable(request, commissionings_visible_to(request.user), pk=pk)
    progress = progress_of(run)
    found = next(((stop, step) for stop, step in progress.steps if step.key == key), None)
    return (Here(run, progress, found[0], run.is_working), found[1]) if found else None


def _at(run: Commissioning, request: SignedIn, subject: Subject, at: int) -> Here:
    progress = progress_of(run)
    stop = progress.stop(subject, at)
    if stop is None:
        raise Http404(f"no such {subject.value} in this commissioning")
    return Here(run, progress, stop, run.is_working and request.user.may_write)


def stop_page(
    request: SignedIn, at: Here, template: str, context: Mapping[str, Any], refused: Refused | None = None
) -> HttpResponse:
    """Show a stop. A form that was refused comes with status 422 and what was typed."""
    shared = {
        "run": at.run,
        "site": at.run.site,
        "stop": at.stop,
        "editable": at.editable and not at.stop.excluded,
        "crumbs": run_crumbs(at.run),
        "open_here": at.progress.open_at(at.stop),
        "next": next_link(at.run, at.progress, at.stop),
    }
    return render(request, template, shared | dict(context), status=422 if refused else 200)


def next_link(run: Commissioning, progress: Progress, at: Stop | None = None) -> dict[str, str]:
    """Return where to go on from a stop: the next open step, or the end."""
    if progress.next is None:
        name = "commissioning-hand-over" if run.baseline_id else "commissioning-freeze"
        words = "Hand over" if run.baseline_id else "What is missing, and freeze"
        return {"href": reverse(name, args=[run.pk]), "words": words}
    stop, step = progress.next
    words = step.word if stop == at else f"{stop.name}: {step.word}"
    return {"href": step_address(run, stop, step), "words": words}


def back_to(run: Commissioning, stop: Stop, word: str) -> HttpResponseBase:
    """Lead back to the step that was recorded, where its verdict and the next step stand."""
    return redirect(f"{stop_address(run, stop)}#{anchor_of(word)}")
