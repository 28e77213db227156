"""The steps of commissioning a site in working order, built from what the register holds now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple

from registry.audio.models import Line, Zone
from registry.baselines.restore_sheet import LIFE_SAFETY
from registry.engineering.wording import listed
from registry.equipment.models import Kind, Place, Placement, Status
from registry.planning.models import Commissioning, CommissioningStep
from registry.planning.wired import natural
from sites.models import Site, YesNoUnknown


class Subject(StrEnum):
    """What a stop is about."""

    TRACK = "track"
    LINE = "line"
    ZONE = "zone"
    PLACE = "place"


# The working order (common practice): what a later step relies on is proved before it.
STEP_WORDS: Final[Mapping[Subject, tuple[str, ...]]] = {
    Subject.TRACK: ("file and level",),
    Subject.LINE: ("impedance", "polarity"),
    Subject.ZONE: ("spot", "as found", "as left"),
    Subject.PLACE: ("power cut",),
}


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to measure or to record. `key` names it within a run and stays the same on every device."""

    key: str
    word: str


@dataclass(frozen=True, slots=True)
class Stop:
    """The steps at one line, zone or amplifier; `excluded` says why none is offered."""

    subject: Subject
    pk: int
    name: str
    detail: str
    steps: tuple[Step, ...]
    excluded: str = ""


def key_of(subject: Subject, pk: int, word: str) -> str:
    """Return the key of a step."""
    return f"{subject.value}:{pk}:{word}"


class _Wired(NamedTuple):
    """A line, and one zone that hears it; None while no loudspeaker hangs on it."""

    pk: int
    name: str
    amplifier_id: int
    amplifier: str
    channel: str
    life_safety: str
    zone_id: int | None


SWITCHED_OFF: Final = (
    "Excluded: the amplifier would have to be switched off, and it also drives {}, which is or may be life-safety "
    "related (fire alarm, voice alarm, emergency paging). Local codes and licensed practice decide."
)


def sequence_of(site: Site) -> list[Stop]:
    """Return the stops in working order: the track, every line, every zone, every amplifier and endpoint.

    What is on a line that is not known to be free of life safety gets no step, but is named; so does every line of an
    amplifier that drives such a line, because it would have to be switched off. Three queries.
    """
    wired = _wired(site)
    flagged = [row for row in wired if row.life_safety != YesNoUnknown.NO]
    places, zones = {row.amplifier_id for row in flagged}, {row.zone_id for row in flagged}
    return [
        _stop(Subject.TRACK, 0, "Reference track", ""),
        *_line_stops(wired, flagged),
        *(
            _stop(Subject.ZONE, pk, name, spot and f"Spot: {spot}", LIFE_SAFETY if pk in zones else "")
            for pk, name, spot in Zone.objects.filter(site=site).order_by("name").values_list("pk", "name", "spot")
        ),
        *(
            _stop(Subject.PLACE, place.pk, place.name, detail, LIFE_SAFETY if place.pk in places else "")
            for place, detail in _powered(site)
        ),
    ]


def _wired(site: Site) -> list[_Wired]:
    columns = ("pk", "name", "amplifier_id", "amplifier__name", "channel", "life_safety", "coils__loudspeaker__zone_id")
    rows = (_Wired(*row) for row in Line.objects.filter(site=site).order_by("pk").values_list(*columns).distinct())
    return sorted(rows, key=lambda row: (natural(row.amplifier), natural(row.channel), natural(row.name)))


def _line_stops(wired: Iterable[_Wired], flagged: Iterable[_Wired]) -> Iterable[Stop]:
    beside: dict[int, list[str]] = {}
    for row in flagged:
        beside.setdefault(row.amplifier_id, []).append(row.name)
    for row in {row.pk: row for row in wired}.values():
        others = list(dict.fromkeys(beside.get(row.amplifier_id, [])))
        own = LIFE_SAFETY if row.name in others else ""
        excluded = own or (SWITCHED_OFF.format(listed(others)) if others else "")
        yield _stop(Subject.LINE, row.pk, row.name, f"{row.amplifier}, channel {row.channel}", excluded)


def _powered(site: Site) -> Iterable[tuple[Place, str]]:
    """Yield what the baseline asks a power-cut test of: amplifiers and endpoints in service."""
    filled = Placement.objects.filter(
        place__site=site,
        current=True,
        item__status=Status.IN_SERVICE,
        item__make_model__kind__in=(Kind.AMPLIFIER, Kind.ENDPOINT),
    )
    for placement in filled.select_related("place", "item__make_model__make").order_by("place__name"):
        yield placement.place, f"{placement.item.make_model}, {placement.item.tag}"


def _stop(subject: Subject, pk: int, name: str, detail: str, excluded: str = "") -> Stop:
    words = () if excluded else STEP_WORDS[subject]
    steps = tuple(Step(key_of(subject, pk, word), word) for word in words)
    return Stop(subject, pk, name, detail, steps, excluded)


@dataclass(frozen=True, slots=True)
class Progress:
    """The stops of a run with their answers."""

    stops: tuple[Stop, ...]
    answers: Mapping[str, CommissioningStep]

    @property
    def steps(self) -> list[tuple[Stop, Step]]:
        """Every step with its stop, in working order."""
        return [(stop, step) for stop in self.stops for step in stop.steps]

    @property
    def total(self) -> int:
        """How many steps there are."""
        return len(self.steps)

    @property
    def open_steps(self) -> list[tuple[Stop, Step]]:
        """What has no answer yet."""
        return [(stop, step) for stop, step in self.steps if not self._answered(step)]

    @property
    def could_not(self) -> list[tuple[Stop, Step, str]]:
        """What could not be done, and why."""
        answered = [(stop, step, self.answers.get(step.key)) for stop, step in self.steps]
        return [(stop, step, answer.could_not) for stop, step, answer in answered if answer and answer.could_not]

    @property
    def excluded(self) -> list[Stop]:
        """The stops at which nothing is offered."""
        return [stop for stop in self.stops if stop.excluded]

    @property
    def last(self) -> tuple[Stop, Step, CommissioningStep] | None:
        """The step that was answered last: where somebody was."""
        told = [(stop, step, self.answers[step.key]) for stop, step in self.steps if self._answered(step)]
        return max(told, key=lambda row: row[2].changed_at, default=None)

    @property
    def next(self) -> tuple[Stop, Step] | None:
        """Where to go on: the first open step after the one answered last, else the first one that is open."""
        waiting, last = self.open_steps, self.last
        if not waiting or last is None:
            return waiting[0] if waiting else None
        order = [step.key for _, step in self.steps]
        here = order.index(last[1].key)
        return next((row for row in waiting if order.index(row[1].key) > here), waiting[0])

    def open_at(self, stop: Stop) -> int:
        """How many steps of a stop have no answer yet."""
        return sum(not self._answered(step) for step in stop.steps)

    def stop(self, subject: Subject, pk: int = 0) -> Stop | None:
        """Return one stop; None when the register has no such line, zone or place."""
        return next((stop for stop in self.stops if (stop.subject, stop.pk) == (subject, pk)), None)

    def _answered(self, step: Step) -> bool:
        answer = self.answers.get(step.key)
        return answer is not None and answer.is_answered


def progress_of(commissioning: Commissioning) -> Progress:
    """Return how far a run is. Four queries."""
    answers = commissioning.steps.select_related("changed_by", "measurement", "reading", "record")
    return Progress(tuple(sequence_of(commissioning.site)), {answer.key: answer for answer in answers})
