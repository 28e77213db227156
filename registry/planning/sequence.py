"""The steps of commissioning a site in working order, built from what the register holds now."""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple

from registry.audio.models import Line, Zone
from registry.baselines.restore_sheet import LIFE_SAFETY
from registry.baselines.site_rows import SiteRows
from registry.engineering.wording import listed
from registry.equipment.models import Kind, Place, Status
from registry.equipment.queries import item_in, with_items
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


class WiredLine(NamedTuple):
    """A line, and one zone that hears it; None while no loudspeaker hangs on it."""

    pk: int
    name: str
    amplifier_id: int
    amplifier: str
    channel: str
    kind: str
    life_safety: str
    zone_id: int | None


SWITCHED_OFF: Final = (
    "Excluded: the amplifier would have to be switched off, and it also drives {}, which is or may be life-safety "
    "related (fire alarm, voice alarm, emergency paging). Local codes and licensed practice decide."
)


def sequence_of(site: Site, rows: SiteRows | None = None) -> list[Stop]:
    """Return the stops in working order: the track, every line, every zone, every amplifier and endpoint.

    What is on a line that is not known to be free of life safety gets no step, but is named; so does every line of an
    amplifier that drives such a line, because it would have to be switched off.

    `rows` is what was read of the site already. Three queries, or one.
    """
    zones = rows.zones if rows else site.zones.order_by("name")
    places = rows.places if rows else with_items(site.places.order_by("name"))
    wired = wired_at(site)
    flagged = _flagged(wired)
    return [
        _stop(Subject.TRACK, 0, "Reference track", ""),
        *_line_stops(wired, flagged),
        *_zone_stops(zones, {row.zone_id for row in flagged}),
        *_place_stops(places, {row.amplifier_id for row in flagged}),
    ]


def wired_at(site: Site) -> list[WiredLine]:
    """Return the lines of a site by amplifier and channel, once for each zone that hears them. One query."""
    known = ("pk", "name", "amplifier_id", "amplifier__name", "channel", "kind", "life_safety")
    rows = Line.objects.filter(site=site).order_by("pk").values_list(*known, "coils__loudspeaker__zone_id").distinct()
    wired = (WiredLine(*row) for row in rows)
    return sorted(wired, key=lambda row: (natural(row.amplifier), natural(row.channel), natural(row.name)))


def hands_off(wired: Sequence[WiredLine]) -> dict[tuple[Subject, int], str]:
    """Return the lines and amplifiers that life safety keeps hands off, and why."""
    flagged = _flagged(wired)
    lines = {(Subject.LINE, stop.pk): stop.excluded for stop in _line_stops(wired, flagged) if stop.excluded}
    return lines | {(Subject.PLACE, row.amplifier_id): LIFE_SAFETY for row in flagged}


def _flagged(wired: Iterable[WiredLine]) -> list[WiredLine]:
    return [row for row in wired if row.life_safety != YesNoUnknown.NO]


def _line_stops(wired: Iterable[WiredLine], flagged: Iterable[WiredLine]) -> Iterable[Stop]:
    beside: dict[int, list[str]] = {}
    for row in flagged:
        beside.setdefault(row.amplifier_id, []).append(row.name)
    for row in {row.pk: row for row in wired}.values():
        others = list(dict.fromkeys(beside.get(row.amplifier_id, [])))
        own = LIFE_SAFETY if row.name in others else ""
        excluded = own or (SWITCHED_OFF.format(listed(others)) if others else "")
        yield _stop(Subject.LINE, row.pk, row.name, f"{row.amplifier}, channel {row.channel}", excluded)


def _zone_stops(zones: Iterable[Zone], flagged: Container[int | None]) -> Iterable[Stop]:
    for zone in zones:
        detail = f"Spot: {zone.spot}" if zone.spot else ""
        yield _stop(Subject.ZONE, zone.pk, zone.name, detail, LIFE_SAFETY if zone.pk in flagged else "")


def _place_stops(places: Iterable[Place], flagged: Container[int]) -> Iterable[Stop]:
    """Yield what the baseline asks a power-cut test of: amplifiers and endpoints in service."""
    for place in places:
        item = item_in(place)
        if item and item.status == Status.IN_SERVICE and item.make_model.kind in {Kind.AMPLIFIER, Kind.ENDPOINT}:
            detail = f"{item.make_model}, {item.tag}"
            yield _stop(Subject.PLACE, place.pk, place.name, detail, LIFE_SAFETY if place.pk in flagged else "")


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


def progress_of(commissioning: Commissioning, rows: SiteRows | None = None) -> Progress:
    """Return how far a run is; `rows` is what was read of its site already. Four queries, or two."""
    answers = commissioning.steps.select_related("changed_by", "measurement", "reading", "record")
    return Progress(tuple(sequence_of(commissioning.site, rows)), {answer.key: answer for answer in answers})
