"""Closing a visit: outcome, result, signature. After that only addenda."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from registry.engineering.wording import listed
from registry.visits.models import Addendum, Outcome, TaskResult, Visit
from registry.visits.under_way import happened, open_visit, signed_by
from registry.visits.working import MOST_MINUTES
from sites.models import User
from sites.put import Problem, RefusedError, refuse

CLOSING = ("outcome", "result", "why_not", "signature", "accepted_by", "minutes")


@transaction.atomic
def close_visit(*, by: User, visit: Visit, values: Mapping[str, Any], at: datetime | None = None) -> Visit:
    """Sign and close a visit: `outcome`, `result`, `why_not`, `signature`, `accepted_by`, `minutes`.

    Raises ValueError when it is closed already (by whom and when), is called done while tasks have no result, does not
    say why not, or has not begun although something is said to be done.
    """
    visit = open_visit(visit)
    for name in CLOSING:
        value = values.get(name, getattr(visit, name))
        setattr(visit, name, value.strip() if isinstance(value, str) else value)
    problems = list(_problems(visit))
    if problems:
        raise RefusedError([Problem("visit", (visit.pk,), name, says) for name, says in problems])
    visit.closed_at, visit.closed_by = happened(at, visit), by
    try:
        return signed_by(visit, by)
    except ValidationError as error:
        said = [Problem("visit", (visit.pk,), name, " ".join(says)) for name, says in error.message_dict.items()]
        raise RefusedError(said) from error


def _problems(visit: Visit) -> list[tuple[str, str]]:
    said = []
    if visit.outcome not in Outcome.values:
        said.append(("outcome", "Say how the visit ended."))
    if not visit.result:
        said.append(("result", "Say the result in one sentence: the owner reads it first."))
    if not visit.signature:
        said.append(("signature", "Sign with your name."))
    if visit.begun_at is None and visit.outcome != Outcome.NOT_POSSIBLE:
        said.append(("outcome", "This visit has not begun: begin it, or say that it was not possible."))
    if visit.outcome in {Outcome.EXCEPTIONS, Outcome.NOT_POSSIBLE} and not visit.why_not:
        said.append(("why_not", f"Say what was not done and why.{_named(unfinished(visit))}"))
    if visit.minutes is not None and not 0 <= visit.minutes <= MOST_MINUTES:
        said.append(("minutes", f"Give at most {MOST_MINUTES} minutes."))
    if visit.outcome == Outcome.DONE:
        said += _not_done(visit)
    return said


def _not_done(visit: Visit) -> list[tuple[str, str]]:
    if open_tasks := unfinished(visit):
        return [("outcome", f"Not everything is done.{_named(open_tasks)} Answer them, or close with exceptions.")]
    if visit.why_not:
        return [("why_not", "These are exceptions: close with exceptions, or clear them.")]
    return []


def _named(tasks: list[str]) -> str:
    return f" Not done or without a result: {listed(tasks)}." if tasks else ""


def unfinished(visit: Visit) -> list[str]:
    """Return the names of the tasks that have no result or were not done."""
    rows = visit.tasks.filter(result__in=["", TaskResult.NOT_DONE]).select_related("place", "rack", "line", "zone")
    return [task.name for task in rows]


@transaction.atomic
def add_addendum(*, by: User, visit: Visit, says: str, at: datetime | None = None) -> Addendum:
    """Add to a closed visit what was forgotten or has become known since.

    Raises ValueError when the visit is still open, or nothing is said.
    """
    visit = Visit.objects.select_related("site").get(pk=visit.pk)
    if visit.closed_at is None:
        raise ValueError("this visit is still open: record it there")
    if not says.strip():
        raise refuse("addendum", (visit.pk,), "says", "Say what is to be added.")
    if len(says.strip()) > 2000:
        raise refuse("addendum", (visit.pk,), "says", "Make it shorter: at most 2000 characters.")
    return Addendum.objects.create(visit=visit, says=says.strip(), written_by=by, written_at=happened(at))
