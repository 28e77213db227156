"""From rows to the site that engineering.diagnosis starts from; what the register lacks for it is named."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, get_args

from registry.audio.loads import amplifier_model, rated_channel, strings_from, with_wiring
from registry.audio.models import Line
from registry.baselines.models import Baseline
from registry.baselines.snapshot import Content
from registry.engineering import diagnosis as plain
from registry.engineering.folding_parts import LifeSafety
from registry.engineering.line_parts import LineKind, LineSpec
from registry.engineering.wording import listed
from registry.planning.models import LineMeasurement
from sites.models import Site

NO_BASELINE: Final = "No baseline was frozen before this call: nobody can say what is not as agreed."
NO_LINES: Final = "No line has a loudspeaker in the register."
NO_LEVELS: Final = "The baseline holds no level of a zone whose loudspeakers are on a line."
UNNAMED_SOURCE: Final = "the source"


@dataclass(frozen=True, slots=True)
class KnownSite:
    """A site as the diagnosis knows it (None: too little is recorded), its baseline, and what is missing."""

    baseline: Baseline | None
    site: plain.Site | None
    gaps: tuple[str, ...]
    hertz: Mapping[str, float | None]

    @property
    def content(self) -> Content:
        """The baseline's content, empty without one."""
        return self.baseline.content if self.baseline else {"places": {}, "zones": {}, "lines": {}}

    @property
    def zones(self) -> dict[str, plain.SiteSpot]:
        """The spot of every zone that can be judged, by the zone's name."""
        return {spot.zone: spot for spot in self.site.spots} if self.site else {}


def known_site(site: Site, *, before: datetime) -> KnownSite:
    """Return a site as it was agreed before a time. A constant number of queries."""
    baseline = Baseline.objects.filter(site=site, frozen_at__lte=before).order_by("-number").first()
    lines = [line for line in with_wiring(Line.objects.filter(site=site).order_by("name")) if line.coils.all()]
    measured = _measured(site, before)
    hertz = {name: row.frequency_hz for name, row in measured.items()}
    if baseline is None or not lines:
        missing = (NO_BASELINE if baseline is None else "", "" if lines else NO_LINES)
        return KnownSite(baseline, None, tuple(filter(None, missing)), hertz)
    found, gaps = _built(lines, baseline, measured)
    return KnownSite(baseline, found, gaps, hertz)


def _measured(site: Site, before: datetime) -> dict[str, LineMeasurement]:
    rows = LineMeasurement.objects.filter(
        line__site=site, taken_at__lt=before, correction__isnull=True, impedance_ohm__gt=0
    )
    return {row.line.name: row for row in rows.select_related("line").order_by("taken_at", "pk")}


def _built(
    lines: Sequence[Line], baseline: Baseline, measured: Mapping[str, LineMeasurement]
) -> tuple[plain.Site | None, tuple[str, ...]]:
    content = baseline.content
    spots = tuple(_spots(lines, content["zones"]))
    gaps = [*_unread(lines, content), *_rewired(lines, baseline)]
    if not spots:
        return None, (NO_LEVELS, *gaps)
    try:
        site_lines = tuple(_line(line, measured.get(line.name)) for line in lines)
        return plain.Site(site_lines, tuple(_dials(lines, content)), spots), tuple(gaps)
    except ValueError as error:
        return None, (f"What is recorded contradicts itself: {error}.", *gaps)


def _line(line: Line, measured: LineMeasurement | None) -> plain.SiteLine:
    model = amplifier_model(line)
    spec = LineSpec(
        _one_of(line.kind, get_args(LineKind)),
        strings_from(line.coils.all()),
        rated_channel(model.ratings.all() if model else ()),
    )
    life_safety = _one_of(line.life_safety, get_args(LifeSafety))
    ohm = measured.impedance_ohm if measured is not None else None
    return plain.SiteLine(line.name, spec, line.amplifier.name, life_safety, ohm)


def _one_of(value: str, allowed: Iterable[Any]) -> Any:
    return next(each for each in allowed if each == value)


def _zones_of(line: Line) -> set[str]:
    return {coil.loudspeaker.zone.name for coil in line.coils.all()}


def _spots(lines: Iterable[Line], zones: Mapping[str, Any]) -> Iterable[plain.SiteSpot]:
    """One spot a zone, under the zone's name; every loudspeaker of a zone is taken to be heard alike there."""
    coils = [coil for line in lines for coil in line.coils.all()]
    for name, entry in zones.items():
        labels = dict.fromkeys(coil.loudspeaker.label for coil in coils if coil.loudspeaker.zone.name == name)
        if entry["level_db"] is None or not labels:
            continue
        background = entry["background_db"]
        if background is not None and background > entry["level_db"]:
            background = None
        heard = tuple(plain.Heard(label) for label in labels)
        yield plain.SiteSpot(name, name, entry["level_db"], heard, background)


def _dials(lines: Iterable[Line], content: Content) -> Iterable[plain.SiteDial]:
    """One dial for zones that share lines: what turns one up turns up the other."""
    for zones, shared in _sharing(lines):
        entries = [content["zones"].get(name) or {} for name in sorted(zones)]
        settings = [content["places"].get(line.amplifier.name, {}).get("settings", {}) for line in shared]
        source = _first(entry.get("source") for entry in entries) or _setting(settings, "source") or UNNAMED_SOURCE
        yield plain.SiteDial(
            name=listed(sorted(zones)),
            lines=tuple(line.name for line in shared),
            source=source,
            group=_setting(settings, "group"),
            position=_percent(entries, "dial"),
            cap=_percent(entries, "cap"),
        )


def _sharing(lines: Iterable[Line]) -> list[tuple[set[str], list[Line]]]:
    groups: list[tuple[set[str], list[Line]]] = []
    for line in lines:
        zones, members = _zones_of(line), [line]
        for group in [group for group in groups if group[0] & zones]:
            groups.remove(group)
            zones, members = zones | group[0], [*group[1], *members]
        groups.append((zones, members))
    return groups


def _first(values: Iterable[Any]) -> Any:
    return next((value for value in values if value), "")


def _setting(settings: Iterable[Mapping[str, Sequence[str]]], key: str) -> str:
    return str(_first(each.get(key, [""])[0] for each in settings))


def _percent(entries: Iterable[Mapping[str, Any]], key: str) -> float | None:
    """Return a figure that all zones of a dial share; nought is no position that anything could be heard at."""
    values = {entry.get(key) for entry in entries}
    return (values.pop() or None) if len(values) == 1 else None


def _unread(lines: Iterable[Line], content: Content) -> list[str]:
    wired = sorted({name for line in lines for name in _zones_of(line)})
    unread = [name for name in wired if (content["zones"].get(name) or {}).get("level_db") is None]
    return [f"The baseline holds no level of {listed(unread)}: what is said of it can't be weighed."] if unread else []


def _rewired(lines: Iterable[Line], baseline: Baseline) -> list[str]:
    changed = [line.name for line in lines if _wiring(line) != _wiring_then(baseline.content["lines"].get(line.name))]
    if not changed:
        return []
    return [f"{listed(changed)}: wired otherwise than in baseline {baseline.number}; the present wiring is looked at."]


def _wiring(line: Line) -> list[str]:
    return sorted(f"{coil.loudspeaker.label}/{coil.coil}" for coil in line.coils.all())


def _wiring_then(entry: Mapping[str, Any] | None) -> list[str]:
    return sorted(entry["loudspeakers"]) if entry else []
