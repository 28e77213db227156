"""A small site from what was typed: lines, one dial for each zone, spots."""

from typing import Final, get_args

from registry.engineering.amplifier import Channel
from registry.engineering.diagnosis import (
    Heard,
    Site,
    SiteDial,
    SiteLine,
    SiteSpot,
    Symptom,
    SymptomKind,
)
from registry.engineering.folding import LifeSafety
from registry.engineering.line_parts import Coil, LineKind, LineSpec, String
from registry.web.workbench.declaring import InputError
from registry.web.workbench.kinds_joined import CoilLoadTyped

SOURCE: Final = "source"
KINDS: Final[dict[str, SymptomKind]] = {str(kind): kind for kind in get_args(SymptomKind)}
SYMPTOMS: Final = {kind: kind for kind in KINDS}

TypedCoil = tuple[str, str, str, str, CoilLoadTyped]  # zone, line, string, loudspeaker, load
TypedSpot = tuple[str, str, float, float | None, str, float | None]  # spot, zone, baseline, background, heard, now


def site_of(
    coils: tuple[TypedCoil, ...],
    spots: tuple[TypedSpot, ...],
    *,
    kind: LineKind,
    channel: Channel,
    life_safety: LifeSafety,
) -> Site:
    """Return the baseline that was typed; InputError names the lines of text that contradict each other."""
    zones: dict[str, str] = {}
    for zone, line, *_ in coils:
        if zones.setdefault(line, zone) != zone:
            raise InputError("loudspeakers", f"line {line} is in {zones[line]} and in {zone}: allowed is one zone each")
    try:
        lines = tuple(
            SiteLine(line, _spec(line, coils, kind=kind, channel=channel), line.partition("/")[0], life_safety)
            for line in zones
        )
        dials = tuple(
            SiteDial(zone, tuple(line for line, at in zones.items() if at == zone), SOURCE)
            for zone in dict.fromkeys(zones.values())
        )
    except ValueError as error:
        raise InputError("loudspeakers", str(error)) from error
    try:
        return Site(lines, dials, tuple(_spot(spot, zones=set(zones.values())) for spot in spots))
    except ValueError as error:
        raise InputError("spots", str(error)) from error


def _spec(line: str, coils: tuple[TypedCoil, ...], *, kind: LineKind, channel: Channel) -> LineSpec:
    strings: dict[str, list[Coil]] = {}
    for _, of_line, string, label, load in coils:
        if of_line == line:
            if kind == "low" and load.tap_w is not None:
                raise ValueError(f"{label} has a tap in watts: a low-impedance line allows ohms only")
            strings.setdefault(string, []).append(Coil(label, impedance_ohm=load.impedance_ohm, tap_w=load.tap_w))
    return LineSpec(kind, tuple(String(name, tuple(wired)) for name, wired in strings.items()), channel)


def _spot(typed: TypedSpot, *, zones: set[str]) -> SiteSpot:
    name, zone, level, background, heard, _ = typed
    if zone not in zones:
        raise ValueError(f"zone {zone} of spot {name} has no loudspeaker: allowed is {', '.join(sorted(zones))}")
    labels = [label.strip() for label in heard.split("+")]
    return SiteSpot(name, zone, level, tuple(Heard(label) for label in labels), background)


def symptoms_of(typed: tuple[tuple[str, str], ...], site: Site) -> list[Symptom]:
    """Return what people say, of the zone or loudspeaker of that name."""
    zones = {spot.zone for spot in site.spots}
    labels = {coil.label for line in site.lines for coil in line.spec.coils}
    found = []
    for kind, where in typed:
        if where and where not in zones | labels:
            known = ", ".join(sorted(zones | labels))
            raise InputError("symptoms", f"{where} is no zone with a spot and no loudspeaker: allowed is {known}")
        zone = where if where in zones else ""
        found.append(Symptom(KINDS[kind], zone=zone, loudspeaker="" if zone else where))
    return found
