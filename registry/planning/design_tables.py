"""A design as rows of the survey format: places with their amplifiers, zones, lines, settings."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeAlias

from registry.audio.models import LineKind
from registry.engineering.wording import figure
from registry.planning.design import Box, Design, DesignedLine
from sites.models import YesNoUnknown

Row: TypeAlias = dict[str, Any]
Tables: TypeAlias = dict[str, list[Row]]

STATE = "as left"
DRAFT_CAP, DRAFT_DIAL = "draft cap", "draft dial"


def tables_of(design: Design, *, site: str, zones: Mapping[str, Row]) -> Tables:
    """Return the rows of equipment, zones, lines and settings; `zones` holds what the register knows of each zone.

    Settings have no time yet: they are set when it is wired. Tags are a draft until somebody reads them off.
    """
    sources = {name: box.source for box in design.boxes for name in box.zones}
    return {
        "equipment": [_equipment(box, site) for box in design.boxes if box.seat.is_new],
        "zones": [{"site": site, "zone": name} | zones[name] | _source(sources[name]) for name in sources],
        "lines": [row for line in design.lines for row in _line(line, site)],
        "settings": [row for box in design.boxes for row in _settings(box, design.lines, site)],
    }


def _source(source: str) -> Row:
    return {"source": source} if source else {}


def _equipment(box: Box, site: str) -> Row:
    names = {"site": site, "place": box.seat.place, "tag": box.tag, "make": box.make, "model": box.model}
    return names | {"status": "in service"}


def _line(line: DesignedLine, site: str) -> Iterator[Row]:
    head = {"site": site, "line": line.name, "amplifier": line.place, "channel": line.channel}
    for coil in line.coils:
        wired = coil.wired
        yield head | {
            "life_safety": YesNoUnknown.NO.value,
            "kind": line.kind,
            "string": coil.string,
            "order": coil.order,
            "loudspeaker": wired.loudspeaker,
            "make": wired.make,
            "model": wired.model,
            "coil": wired.coil,
            "tap_w": wired.tap_w,
            "zone": wired.zone,
            "plus": wired.plus,
            "minus": wired.minus,
            "cable": coil.run.cable,
            "cable_m": coil.run.cable_m,
        }


def _settings(box: Box, lines: Iterable[DesignedLine], site: str) -> Iterator[Row]:
    kinds = {line.channel: line.kind for line in lines if line.place == box.seat.place}
    values = {
        "group": (box.group, ""),
        "source": (box.source, ""),
        "input": ("network" if box.source else "", ""),
        "content mode": ("mono" if box.content != "stereo" else "stereo", ""),
        **{f"channel {channel} output mode": (_mode(kind), "") for channel, kind in kinds.items()},
        DRAFT_CAP: (figure(box.draft.cap) if box.draft.cap is not None else "", "%"),
        DRAFT_DIAL: (figure(box.draft.dial), "%"),
    }
    for key, (value, unit) in values.items():
        if value:
            yield {"site": site, "place": box.seat.place, "state": STATE, "key": key, "value": value, "unit": unit}


def _mode(kind: str) -> str:
    return "low impedance" if kind == LineKind.LOW else f"{kind} V"
