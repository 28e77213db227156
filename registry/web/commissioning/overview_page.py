"""What the overview of a run shows: every stop with what is open, where somebody was, where to go on."""

from dataclasses import dataclass
from typing import Any

from registry.planning.models import Commissioning
from registry.planning.sequence import Progress, Stop, Subject, progress_of
from registry.web.commissioning.here import next_link, step_address, stop_address
from sites.models import User

HEADINGS = {
    Subject.TRACK: "Before you begin",
    Subject.LINE: "Lines: amplifier off, line disconnected",
    Subject.ZONE: "Zones: the track plays",
    Subject.PLACE: "Amplifiers and endpoints: pull the plug",
}


@dataclass(frozen=True, slots=True)
class StopRow:
    """One stop, its address and how it stands in a few words."""

    stop: Stop
    href: str
    status: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class Part:
    """The stops of one kind."""

    heading: str
    rows: list[StopRow]


def overview_page(user: User, run: Commissioning) -> dict[str, Any]:
    """Return the context of a run's overview. A constant number of queries."""
    progress = progress_of(run)
    parts = [Part(heading, _rows(run, progress, subject)) for subject, heading in HEADINGS.items()]
    last = progress.last
    return {
        "parts": [part for part in parts if part.rows],
        "total": progress.total,
        "answered": progress.total - len(progress.open_steps),
        "could_not": progress.could_not,
        "excluded": progress.excluded,
        "last": {"stop": last[0], "step": last[1], "answer": last[2], "href": step_address(run, last[0], last[1])}
        if last
        else None,
        "next": next_link(run, progress),
        "editable": run.is_open and user.may_write,
    }


def _rows(run: Commissioning, progress: Progress, subject: Subject) -> list[StopRow]:
    return [
        StopRow(stop, stop_address(run, stop), _status(run, progress, stop), bool(progress.open_at(stop)))
        for stop in progress.stops
        if stop.subject == subject
    ]


def _status(run: Commissioning, progress: Progress, stop: Stop) -> str:
    if stop.excluded:
        return "excluded: life safety"
    waiting = progress.open_at(stop)
    missed = sum(step.key in progress.answers and bool(progress.answers[step.key].could_not) for step in stop.steps)
    still = "open" if run.is_working else "not recorded"
    words = [f"{waiting} {still}"] if waiting else ["answered"] if missed else ["done"]
    return ", ".join([*words, *([f"{missed} could not be done"] if missed else [])])
