"""What the page of a restore shows: groups of steps in working order, with answers, readings and cautions."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from registry.audio.models import Drift, Zone
from registry.audio.queries import zones_visible_to
from registry.baselines.failing_lines import failing_lines
from registry.baselines.models import Restore, RestoreStep
from registry.baselines.restore_sheet import BEFORE, Group, Stage, Step, restore_sheet
from registry.baselines.restoring import sheet_of
from registry.web.baselines.anchors import anchor_of
from registry.web.baselines.cautions import cautions_of
from registry.web.baselines.forms import RestoreReadingForm, SignForm, StepForm, answered
from registry.web.baselines.zone_work import ZoneWork, readings_by_zone, zone_work
from sites.models import User


@dataclass(frozen=True)
class Refused:
    """The one form that was sent and refused: it is shown again with what was typed."""

    step: StepForm | None = None
    reading: RestoreReadingForm | None = None
    sign: SignForm | None = None


@dataclass(frozen=True)
class StepRow:
    """One step with its answer and its form."""

    step: Step
    answer: RestoreStep | None
    form: StepForm
    anchor: str

    @property
    def is_open(self) -> bool:
        """Whether nobody has set it, or said why not."""
        return self.answer is None or not (self.answer.done or self.answer.could_not)


@dataclass(frozen=True)
class GroupRow:
    """One place or zone: its steps, and for a zone its readings."""

    group: Group
    anchor: str
    rows: list[StepRow]
    cautions: list[str]
    zone: ZoneWork | None
    level: StepRow | None = field(default=None)
    before: list[ZoneWork] = field(default_factory=list)

    @property
    def is_before(self) -> bool:
        """Whether this is the stage at which every zone is read as found."""
        return self.group.subject == BEFORE

    @property
    def unread(self) -> list[ZoneWork]:
        """The zones of the first stage that can still be read as found."""
        return [work for work in self.before if not (work.found or work.left)]

    @property
    def untouched(self) -> list[StepRow]:
        """The steps at which nobody has recorded anything yet."""
        return [row for row in self.rows if row.is_open and not (row.answer and row.answer.found)]

    @property
    def open_steps(self) -> list[Step]:
        """The steps that still wait for an answer; an as-left level answers the one that asks for it."""
        waiting = [row.step for row in self.rows if row.is_open]
        measured = self.zone is not None and self.zone.left is not None
        if self.level is not None and self.level.is_open and not measured:
            waiting.append(self.level.step)
        return waiting

    @property
    def is_gone(self) -> bool:
        """Whether the baseline knows a zone that the register no longer has under that name."""
        return self.group.subject == "zone" and not self.group.excluded and self.zone is None


def restore_page(user: User, restore: Restore, refused: Refused | None = None) -> dict[str, Any]:
    """Return the context of a restore's page. A constant number of queries."""
    refused = refused or Refused()
    # What was signed is shown as it was worked on, also where a line was flagged as life safety since.
    sheet = sheet_of(restore.baseline) if restore.is_open else restore_sheet(restore.baseline.content)
    steps = {step.key: step for step in restore.steps.select_related("changed_by")}
    zones = {zone.name: zone for zone in zones_visible_to(user).filter(site=restore.site_id)}
    work = _zone_works(restore, zones, steps, refused)
    failing = failing_lines(restore.baseline)
    cautions = [cautions_of(group, restore.baseline.content, failing) for group in sheet]
    groups = [_group(group, steps, work, refused, cautions=said) for group, said in zip(sheet, cautions, strict=True)]
    still_open = [f"{step.name}: {step.setting}" for group in groups for step in group.open_steps]
    total = sum(len(group.steps) for group in sheet)
    return {
        "groups": groups,
        "open_steps": still_open,
        "total": total,
        "answered": total - len(still_open),
        "could_not": [step for step in steps.values() if step.could_not],
        "sign": refused.sign or SignForm(),
        "zones": [group.zone for group in groups if group.zone],
        "verdicts": verdicts_sentence(group.zone for group in groups if group.zone),
    }


def _zone_works(
    restore: Restore, zones: Mapping[str, Zone], steps: Mapping[str, RestoreStep], refused: Refused
) -> dict[str, ZoneWork]:
    frozen = restore.baseline.content["zones"]
    readings = readings_by_zone(restore)
    done = {key for key, step in steps.items() if step.done}
    return {
        name: zone_work(zones[name], frozen[name], readings.get(zones[name].pk, []), refused.reading, done=done)
        for name in frozen
        if name in zones
    }


def _group(
    group: Group,
    steps: Mapping[str, RestoreStep],
    work: Mapping[str, ZoneWork],
    refused: Refused,
    *,
    cautions: list[str],
) -> GroupRow:
    rows = [_row(step, steps.get(step.key), refused.step) for step in group.steps]
    is_zone = group.subject == "zone" and not group.excluded
    return GroupRow(
        group=group,
        anchor=anchor_of(group.subject, group.name),
        rows=[row for row in rows if row.step.stage != Stage.LEVEL or not is_zone],
        cautions=cautions,
        zone=work.get(group.name) if is_zone else None,
        level=next((row for row in rows if is_zone and row.step.stage == Stage.LEVEL), None),
        before=[work[name] for name in group.zones if name in work],
    )


def _row(step: Step, answer: RestoreStep | None, refused: StepForm | None) -> StepRow:
    anchor = anchor_of(step.key)
    if refused is not None and refused.data.get("key") == step.key:
        # The id of every field on the page is its own; what was typed stays.
        refused.auto_id = f"{anchor}-%s"
        return StepRow(step, answer, refused, anchor)
    initial = {"key": step.key, **answered(answer)}
    return StepRow(step, answer, StepForm(initial=initial, auto_id=f"{anchor}-%s"), anchor)


def verdicts_sentence(zones: Iterable[ZoneWork]) -> str:
    """Return how many zones are proved to be back."""
    works = list(zones)
    left = Counter(work.left.drift.verdict for work in works if work.left)
    words = (
        (left[Drift.WITHIN], "within tolerance"),
        (left[Drift.OUT], "out of tolerance"),
        (left[Drift.UNDECIDED], "undecided"),
        (left[Drift.NO_BASELINE], "without a baseline level"),
        (len(works) - left.total(), "not measured yet"),
    )
    said = [f"{count} {word}" for count, word in words if count]
    return f"Zones: {', '.join(said)}." if said else ""
