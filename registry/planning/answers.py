"""What every step of commissioning shares: the run is open, the step is offered, nobody is overwritten unseen."""

from django.db import transaction
from django.utils import timezone

from registry.planning.models import Commissioning, CommissioningStep
from registry.planning.sequence import Step, Stop, Subject, sequence_of
from sites.models import User
from sites.put import refuse


def working(commissioning: Commissioning) -> Commissioning:
    """Return the run again with a lock on it.

    Raises ValueError when its baseline is frozen, or it is closed: then nothing more is recorded in it.
    """
    found = Commissioning.objects.select_for_update().get(pk=commissioning.pk)
    if not found.is_open:
        raise ValueError("this commissioning is closed: start a new one")
    if found.baseline_id is not None:
        raise ValueError("the baseline of this commissioning is frozen: its steps are closed")
    return found


def offered(commissioning: Commissioning, subject: Subject, pk: int, word: str) -> Step:
    """Return a step of the run.

    Raises ValueError when the site has no such step, or none is offered there because of life safety.
    """
    stop = stop_of(commissioning, subject, pk)
    if stop.excluded:
        raise ValueError(stop.excluded)
    return next(step for step in stop.steps if step.word == word)


def stop_of(commissioning: Commissioning, subject: Subject, pk: int) -> Stop:
    """Return a stop of the run; ValueError when the site has none such."""
    stops = sequence_of(commissioning.site)
    found = next((stop for stop in stops if (stop.subject, stop.pk) == (subject, pk)), None)
    if found is None:
        raise ValueError(f"this {subject.value} is no part of the commissioning of {commissioning.site}")
    return found


def unchanged(commissioning: Commissioning, step: Step, seen: str | None) -> CommissioningStep | None:
    """Return the step's answer so far.

    Raises ValueError when it is not the version that the tech was looking at; None as `seen` doesn't ask.
    """
    answer = CommissioningStep.objects.filter(commissioning=commissioning, key=step.key).first()
    if seen is not None and (answer.version if answer else "") != seen:
        who = f"by {answer.changed_by}" if answer else "by somebody else"
        raise ValueError(f"this step was answered meanwhile {who}: look at it, then save again if it is still wrong")
    return answer


def answer(*, by: User, commissioning: Commissioning, step: Step, **facts: object) -> CommissioningStep:
    """Record that a step is done, with the fact that it left behind (`measurement`, `reading` or `record`)."""
    told, _ = CommissioningStep.objects.update_or_create(
        commissioning=commissioning,
        key=step.key,
        defaults={"done": True, "could_not": "", "changed_by": by, "changed_at": timezone.now(), **facts},
    )
    return told


@transaction.atomic
def say_could_not(*, by: User, commissioning: Commissioning, key: str, why: str) -> CommissioningStep:
    """Record why a step could not be done. It becomes an exception, until the step is done after all.

    Raises ValueError when no such step is offered, no reason is given, or the step is done.
    """
    commissioning = working(commissioning)
    stops = sequence_of(commissioning.site)
    step = next((step for stop in stops for step in stop.steps if step.key == key), None)
    if step is None:
        raise ValueError(f"{key!r} is no step of this commissioning, or life safety keeps it from being offered")
    if not why.strip():
        raise refuse("step", (step.key,), "why", "Say why it could not be done.")
    known = unchanged(commissioning, step, None)
    if known is not None and known.done:
        raise ValueError("this step is done already: measure again instead")
    told, _ = CommissioningStep.objects.update_or_create(
        commissioning=commissioning,
        key=step.key,
        defaults={"done": False, "could_not": why.strip(), "changed_by": by, "changed_at": timezone.now()},
    )
    return told
