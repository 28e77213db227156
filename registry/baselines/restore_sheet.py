"""The ordered steps that bring a site back to its baseline, built from the frozen copy alone."""

from collections.abc import Mapping
from enum import IntEnum
from typing import Any, NamedTuple

from registry.baselines.snapshot import POWER_CUT_KEY, Content


class Stage(IntEnum):
    """The working order (common practice): what a later stage would overwrite is never set before it."""

    SOURCE = 1
    MODE = 2
    TONE = 3
    OTHER = 4
    CAP = 5
    DIAL = 6
    LEVEL = 7


STAGE_WORDS: dict[Stage, tuple[str, ...]] = {
    Stage.SOURCE: ("source", "input", "trim", "stream", "auto-switch"),
    Stage.MODE: ("mode", "mono", "stereo", "bridge", "output"),
    Stage.TONE: ("tone", "bass", "treble", "eq", "high-pass", "limiter", "delay", "balance", "loudness"),
    Stage.CAP: ("cap", "maximum"),
    Stage.DIAL: ("dial", "volume", "level"),
}


class Step(NamedTuple):
    """One thing to set or to measure. `key` names it within a restore and stays the same on every device."""

    key: str
    stage: Stage
    subject: str
    name: str
    setting: str
    value: str
    unit: str = ""

    @property
    def shown(self) -> str:
        """Value and unit as people read them."""
        return f"{self.value} {self.unit}".rstrip()


def step_key(subject: str, name: str, setting: str) -> str:
    """Return the key of a step."""
    return f"{subject}:{name}:{setting}"


class Group(NamedTuple):
    """The steps of one place or zone; `excluded` says why none is offered.

    The first group, of subject BEFORE, has no steps: its `zones` are read as found before anything is changed.
    """

    subject: str
    name: str
    detail: str
    steps: tuple[Step, ...]
    excluded: str = ""
    zones: tuple[str, ...] = ()


BEFORE = "before"
BEFORE_CHANGE = "Before you change anything"
READ_FIRST = "Read every zone as found, at its spot: one changed setting and nobody can tell any more what was found."


LIFE_SAFETY = (
    "Excluded: a line here is or may be life-safety related (fire alarm, voice alarm, emergency paging). "
    "Do not alter it; local codes and licensed practice decide."
)


NEEDS = "Excluded: this zone needs {}, which is excluded. Local codes and licensed practice decide."


class Flagged(NamedTuple):
    """Lines that are or may be life-safety related now, the places that drive them and the zones that hear them.

    `drives` pairs every place that drives a line now, flagged or not, with the zones on it.
    """

    lines: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    zones: frozenset[str] = frozenset()
    drives: frozenset[tuple[str, str]] = frozenset()


NOTHING_FLAGGED = Flagged()


def restore_sheet(content: Content, *, flagged_now: Flagged = NOTHING_FLAGGED) -> list[Group]:
    """Return the groups of steps in working order: read all as found, then amplifiers and endpoints, then the zones.

    A place or zone with a line that is not known to be free of life safety gets no step, but is named; so does a zone
    that such a place drives. `flagged_now` adds what was flagged, or wired up, after the baseline was frozen.
    """
    why = _excluded(content, flagged_now)
    places = [
        _place_group(name, place, why.get(("place", name), ""))
        for name, place in sorted(content["places"].items())
        if _has_work(place)
    ]
    zones = [_zone_group(name, zone, why.get(("zone", name), "")) for name, zone in sorted(content["zones"].items())]
    to_read = tuple(group.name for group in zones if not group.excluded)
    first = [Group(BEFORE, BEFORE_CHANGE, READ_FIRST, (), zones=to_read)] if to_read else []
    return [*first, *places, *zones]


def _excluded(content: Content, now: Flagged) -> dict[tuple[str, str], str]:
    """Return why a place or zone is excluded, by its subject and name."""
    frozen = content["lines"]
    flagged = [line for name, line in frozen.items() if line["life_safety"] != "no" or name in now.lines]
    places = now.places | {line["amplifier"] for line in flagged}
    zones = now.zones | {zone for line in flagged for zone in line["zones"]}
    drives = now.drives | {(line["amplifier"], zone) for line in frozen.values() for zone in line["zones"]}
    needs = {("zone", zone): NEEDS.format(place) for place, zone in sorted(drives) if place in places}
    return needs | {("place", name): LIFE_SAFETY for name in places} | {("zone", name): LIFE_SAFETY for name in zones}


def _has_work(place: Mapping[str, Any]) -> bool:
    """Whether something fills the place and one of its settings is known."""
    return place["model"] is not None and any(_can_be_set(key, value) for key, (value, _) in place["settings"].items())


def _can_be_set(key: str, value: str) -> bool:
    """Nobody can set a device to "unknown", and a power-cut test is a finding."""
    return key != POWER_CUT_KEY and value.strip().lower() not in {"", "unknown"}


def stage_of(setting: str) -> Stage:
    """Return the stage at which a setting is restored, by the words in its name."""
    lowered = setting.lower()
    return next((stage for stage, words in STAGE_WORDS.items() if any(word in lowered for word in words)), Stage.OTHER)


def _place_group(name: str, place: Mapping[str, Any], excluded: str) -> Group:
    detail = " · ".join(str(part) for part in (place["model"], place["tag"], *_whereabouts(place)) if part)
    if excluded:
        return Group("place", name, detail, (), excluded)
    steps = [
        Step(step_key("place", name, key), stage_of(key), "place", name, key, value, unit)
        for key, (value, unit) in place["settings"].items()
        if _can_be_set(key, value)
    ]
    return Group("place", name, detail, tuple(sorted(steps, key=lambda step: (step.stage, step.setting))))


def _whereabouts(place: Mapping[str, Any]) -> tuple[str | None, ...]:
    """Where it is mounted and answers; a baseline from before these were frozen doesn't know."""
    rack, unit = place.get("rack"), place.get("position_u")
    named = rack if not rack or rack.lower().startswith("rack") else f"rack {rack}"
    mounted = f"{named}, unit {unit}" if named and unit else named
    return mounted, place.get("ip"), place.get("hostname")


def _zone_group(name: str, zone: Mapping[str, Any], excluded: str) -> Group:
    detail = f"Spot: {zone['spot']}" if zone["spot"] else "No spot recorded"
    if excluded:
        return Group("zone", name, detail, (), excluded)
    wanted = (
        (Stage.SOURCE, "source", zone["source"], ""),
        (Stage.CAP, "cap", zone["cap"], "%"),
        (Stage.DIAL, "dial", zone["dial"], "%"),
    )
    steps = [
        Step(step_key("zone", name, setting), stage, "zone", name, setting, _shown(value), unit)
        for stage, setting, value, unit in wanted
        if value is not None
    ]
    if zone["level_db"] is not None:
        key, shown = step_key("zone", name, "level"), f"{zone['level_db']:.1f}"
        steps.append(Step(key, Stage.LEVEL, "zone", name, "level", shown, "dB"))
    return Group("zone", name, detail, tuple(steps))


def _shown(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float | int) else str(value)
