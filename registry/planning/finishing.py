"""The end of commissioning: what is missing, freeze with or without exceptions, hand over, or stop."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from registry.audio.models import Verdict
from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline
from registry.baselines.not_as_agreed import exceptions_of
from registry.baselines.queries import newest_baselines
from registry.baselines.site_rows import rows_of
from registry.baselines.snapshot import POWER_CUT_KEY, content_of
from registry.engineering.wording import listed
from registry.equipment.models import Setting
from registry.planning.answers import working
from registry.planning.models import Commissioning, CommissioningStep, Polarity
from registry.planning.sequence import Progress, Stop, progress_of
from registry.planning.zone_matching import off_target
from sites.models import User
from sites.put import refuse


@dataclass(frozen=True, slots=True)
class Unfinished:
    """What stands in the way of a complete hand-over, one sentence each."""

    baseline: tuple[str, ...]
    open_steps: tuple[str, ...]
    could_not: tuple[str, ...]
    findings: tuple[str, ...]
    excluded: tuple[Stop, ...]

    @property
    def exceptions(self) -> list[str]:
        """What has to be accepted; what is excluded for life safety is named, but needs no acceptance."""
        return [*self.baseline, *self.open_steps, *self.could_not, *self.findings]


def unfinished(commissioning: Commissioning) -> Unfinished:
    """Return what is missing now: from the baseline's point of view, and from the run's."""
    rows = rows_of(commissioning.site)
    progress = progress_of(commissioning, rows)
    newest = newest_baselines([commissioning.site_id]).get(commissioning.site_id)
    return Unfinished(
        baseline=tuple(exceptions_of(rows, content_of(rows), newest)),
        open_steps=tuple(_open_steps(progress)),
        could_not=tuple(f"{stop.name}: {step.word} not done: {why}" for stop, step, why in progress.could_not),
        findings=tuple(_findings(commissioning, progress)),
        excluded=tuple(progress.excluded),
    )


def _open_steps(progress: Progress) -> Iterable[str]:
    words: dict[str, list[str]] = {}
    for stop, step in progress.open_steps:
        words.setdefault(stop.name, []).append(step.word)
    for name, waiting in words.items():
        yield f"{name}: {listed(waiting)} not recorded."


def _findings(commissioning: Commissioning, progress: Progress) -> Iterable[str]:
    answered = [(stop, progress.answers[step.key]) for stop, step in progress.steps if step.key in progress.answers]
    for stop, answer in answered:
        yield from _of_line(stop, answer)
    yield from _of_zones(commissioning, answered)
    yield from _of_places(answered)


def _of_line(stop: Stop, answer: CommissioningStep) -> Iterable[str]:
    measurement = answer.measurement
    if measurement is None:
        return
    if measurement.polarity == Polarity.REVERSED:
        yield f"{stop.name}: polarity reversed at {measurement.polarity_note}."
    elif measurement.polarity == Polarity.NOT_TESTED:
        yield f"{stop.name}: polarity was not tested."
    elif not measurement.polarity and measurement.verdict != Verdict.PASS:
        yield f"{stop.name}: {measurement.says}"


def _of_zones(commissioning: Commissioning, answered: Iterable[tuple[Stop, CommissioningStep]]) -> Iterable[str]:
    targets = {target.zone_id: target for target in commissioning.targets.select_related("zone")}
    for stop, answer in answered:
        target = targets.get(stop.pk)
        if answer.reading is None or not answer.key.endswith("as left") or target is None:
            continue
        distance = off_target(target, answer.reading)
        if distance and not distance[1]:
            yield f"{stop.name}: left {distance[0]:+.1f} dB from the wanted level.".replace("-", "−")


def _of_places(answered: Iterable[tuple[Stop, CommissioningStep]]) -> Iterable[str]:
    names = {answer.record_id: stop.name for stop, answer in answered if answer.record_id}
    failed = Setting.objects.filter(record__in=names, key=POWER_CUT_KEY, value__startswith="failed")
    for setting in failed:
        yield f"{names[setting.record_id]}: power-cut test {setting.value}"


@transaction.atomic
def freeze_commissioning(
    *, by: User, commissioning: Commissioning, reason: str, signature: str, with_exceptions: bool = False
) -> Baseline:
    """Freeze what was commissioned as the site's next baseline, signed; its steps are closed from then on.

    Raises ValueError when nobody signs, or something is missing and that was not accepted.
    """
    commissioning = working(commissioning)
    if not signature.strip():
        raise refuse("commissioning", (commissioning.pk,), "signature", "Sign with your name.")
    missing = unfinished(commissioning).exceptions
    if missing and not with_exceptions:
        says = "Something is missing: see above. Tick this if it was agreed to freeze without it."
        raise refuse("commissioning", (commissioning.pk,), "with_exceptions", says)
    commissioning.baseline = freeze_baseline(by=by, site=commissioning.site, reason=reason, with_exceptions=True)
    commissioning.signature, commissioning.exceptions = signature.strip(), missing
    commissioning.save()
    return commissioning.baseline


@transaction.atomic
def hand_over(*, by: User, commissioning: Commissioning, handed_to: str, training: str = "") -> Commissioning:
    """Record to whom the site was handed over and what they were shown; this closes the run.

    Raises ValueError before its baseline is frozen.
    """
    commissioning = _open(commissioning)
    if commissioning.baseline_id is None:
        raise ValueError("freeze the baseline first: there is nothing agreed to hand over yet")
    if not handed_to.strip():
        raise refuse("commissioning", (commissioning.pk,), "handed_to", "Say who took it over.")
    commissioning.handed_to, commissioning.training = handed_to.strip(), training.strip()
    return _close(commissioning, by)


@transaction.atomic
def stop_commissioning(*, by: User, commissioning: Commissioning, because: str) -> Commissioning:
    """Close a run that will not be handed over. What was measured in it stays."""
    commissioning = _open(commissioning)
    if not because.strip():
        raise refuse("commissioning", (commissioning.pk,), "because", "Say why it ends here.")
    commissioning.stopped_because = because.strip()
    return _close(commissioning, by)


def _open(commissioning: Commissioning) -> Commissioning:
    found = Commissioning.objects.select_for_update().get(pk=commissioning.pk)
    if not found.is_open:
        raise ValueError("this commissioning is closed already")
    return found


def _close(commissioning: Commissioning, by: User) -> Commissioning:
    commissioning.closed_at, commissioning.closed_by = timezone.now(), by
    commissioning.save()
    return commissioning
