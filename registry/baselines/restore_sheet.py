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


class Group(NamedTuple):
    """The steps of one place or zone; `excluded` says why none is offered."""

    subject: str
    name: str
    detail: str
    steps: tuple[Step, ...]
    excluded: str = ""


LIFE_SAFETY = (
    "Excluded: a line here is or may be life-safety related (fire alarm, voice alarm, emergency paging). "
    "Do not alter it; local codes and licensed practice decide."
)


class Flagged(NamedTuple):
    """Lines that are or may be life-safety related now, the places that drive them and the zones that hear them."""

    lines: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    zones: frozenset[str] = frozenset()


NOTHING_FLAGGED = Flagged()


def restore_sheet(content: Content, *, flagged_now: Flagged = NOTHING_FLAGGED) -> list[Group]:
    """Return the groups of steps in working order: amplifiers and endpoints first, then zone by zone.

    A place or zone with a line that is not known to be free of life safety gets no step, but is named.
    `flagged_now` adds what was flagged, or wired up, after the baseline was frozen.
    """
    frozen = {name for name, line in content["lines"].items() if line["life_safety"] != "no"}
    places, zones = _excluded(content, frozen | flagged_now.lines)
    places, zones = places | flagged_now.places, zones | flagged_now.zones
    return [
        *(
            _place_group(name, place, name in places)
            for name, place in sorted(content["places"].items())
            if _has_work(place)
        ),
        *(_zone_group(name, zone, name in zones) for name, zone in sorted(content["zones"].items())),
    ]


def _excluded(content: Content, flagged: set[str]) -> tuple[set[str], set[str]]:
    lines = [line for name, line in content["lines"].items() if name in flagged]
    return {line["amplifier"] for line in lines}, {zone for line in lines for zone in line["zones"]}


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


def _place_group(name: str, place: Mapping[str, Any], excluded: bool) -> Group:
    detail = " · ".join(str(part) for part in (place["model"], place["tag"]) if part)
    if excluded:
        return Group("place", name, detail, (), LIFE_SAFETY)
    steps = [
        Step(f"place:{name}:{key}", stage_of(key), "place", name, key, value, unit)
        for key, (value, unit) in place["settings"].items()
        if _can_be_set(key, value)
    ]
    return Group("place", name, detail, tuple(sorted(steps, key=lambda step: (step.stage, step.setting))))


def _zone_group(name: str, zone: Mapping[str, Any], excluded: bool) -> Group:
    detail = f"Spot: {zone['spot']}" if zone["spot"] else "No spot recorded"
    if excluded:
        return Group("zone", name, detail, (), LIFE_SAFETY)
    wanted = (
        (Stage.SOURCE, "source", zone["source"], ""),
        (Stage.CAP, "cap", zone["cap"], "%"),
        (Stage.DIAL, "dial", zone["dial"], "%"),
    )
    steps = [
        Step(f"zone:{name}:{setting}", stage, "zone", name, setting, _shown(value), unit)
        for stage, setting, value, unit in wanted
        if value is not None
    ]
    if zone["level_db"] is not None:
        steps.append(Step(f"zone:{name}:level", Stage.LEVEL, "zone", name, "level", f"{zone['level_db']:.1f}", "dB"))
    return Group("zone", name, detail, tuple(steps))


def _shown(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float | int) else str(value)
