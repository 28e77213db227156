"""The state of a site as plain data, and the difference of two such states."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from registry.audio.loads import loads_of
from registry.audio.models import Line, Zone
from registry.baselines.queries import newest_reading_of
from registry.baselines.site_rows import SiteRows, rows_of
from registry.equipment.models import Item, Kind, Place, Status
from registry.equipment.queries import SettingNow, item_in
from sites.models import Site

Content = dict[str, dict[str, dict[str, Any]]]


def site_now(site: Site) -> Content:
    """Return the site's present state. A constant number of queries."""
    return content_of(rows_of(site))


def content_of(rows: SiteRows) -> Content:
    """Return the state of a site: places with their settings, zones with their levels, lines with their loads.

    Plain JSON values, keyed by name, so that it can be frozen and compared.
    """
    return {"places": _places(rows), "zones": _zones(rows.zones), "lines": _lines(rows.lines)}


def _places(rows: SiteRows) -> dict[str, dict[str, Any]]:
    return {
        place.name: _item(item_in(place))
        | _whereabouts(place)
        | {"settings": _settings(rows.settings.get(place.pk, {}))}
        for place in rows.places
    }


def _whereabouts(place: Place) -> dict[str, Any]:
    rack = place.rack.name if place.rack else None
    return {"rack": rack, "position_u": place.position_u, "ip": place.ip, "hostname": place.hostname or None}


def _item(item: Item | None) -> dict[str, Any]:
    if item is None:
        return dict.fromkeys(("tag", "model", "serial", "kind", "status"))
    model = item.make_model
    names = {"tag": item.tag, "model": str(model), "serial": item.serial or None}
    return names | {"kind": model.kind, "status": item.status}


def _settings(now: Mapping[str, SettingNow]) -> dict[str, list[str]]:
    return {key: [setting.value, setting.unit] for key, setting in sorted(now.items())}


ZONE_FIELDS = ("level_db", "background_db", "dial", "cap", "drive_v", "spot", "meter", "meter_class", "track")


def _zones(zones: Iterable[Zone]) -> dict[str, dict[str, Any]]:
    result = {}
    for zone in zones:
        reading = newest_reading_of(zone)
        taken = {name: _known(getattr(reading, name, None)) for name in ZONE_FIELDS}
        result[zone.name] = taken | {
            "spot": (reading and reading.spot) or zone.spot or None,
            "source": zone.source or None,
            "default_position": zone.default_position,
            "tolerance_db": zone.tolerance_db,
            "taken_at": reading.taken_at.isoformat() if reading else None,
        }
    return result


def _known(value: Any) -> Any:
    """Empty text is not known; zero is a value."""
    return None if value == "" else value


def _lines(lines: Sequence[Line]) -> dict[str, dict[str, Any]]:
    loads = loads_of(lines)
    return {
        line.name: {
            "amplifier": line.amplifier.name,
            "channel": line.channel,
            "kind": line.kind,
            "life_safety": line.life_safety,
            "impedance_ohm": loads[line.pk].impedance_ohm if line.pk in loads else None,
            "power_w": loads[line.pk].power_w if line.pk in loads else None,
            "verdict": line.verdict,
            "says": line.says,
            "zones": sorted({coil.loudspeaker.zone.name for coil in line.coils.all()}),
            "loudspeakers": [f"{coil.loudspeaker.label}/{coil.coil}" for coil in line.coils.all()],
        }
        for line in lines
    }


class Difference(NamedTuple):
    """One value that is not the same in two states; None where it isn't there at all."""

    subject: str
    name: str
    key: str
    before: Any
    after: Any


SETTING = "setting: "
# When and by what a level was read is not a state of the site, and a sentence only repeats the figures.
NOT_A_STATE = frozenset({"taken_at", "background_db", "meter", "meter_class", "says"})


def differences(before: Content, after: Content) -> list[Difference]:
    """Return what differs between two states, in a stable order: by subject, name and key."""
    return [row for row in side_by_side(before, after) if row.before != row.after]


def side_by_side(before: Content, after: Content) -> list[Difference]:
    """Return every value of two states beside each other, equal ones too, in the same order."""
    found: list[Difference] = []
    for subject in ("places", "zones", "lines"):
        old, new = before.get(subject, {}), after.get(subject, {})
        for name in sorted(old.keys() | new.keys()):
            left, right = _flat(old.get(name)), _flat(new.get(name))
            keys = sorted((left.keys() | right.keys()) - NOT_A_STATE - _not_told(left, right))
            found += [Difference(subject, name, key, left.get(key), right.get(key)) for key in keys]
    return found


def _not_told(left: Mapping[str, Any], right: Mapping[str, Any]) -> set[str]:
    """Return the facts that an older state doesn't hold at all: nobody knows whether they differ."""
    if not left or not right:
        return set()
    return {key for key in left.keys() ^ right.keys() if not key.startswith(SETTING)}


def _flat(entry: Mapping[str, Any] | None) -> dict[str, Any]:
    entry = dict(entry or {})
    settings = entry.pop("settings", {})
    return entry | {f"{SETTING}{key}": " ".join(value).rstrip() for key, value in settings.items()}


def gaps(content: Content) -> list[str]:
    """Return what a baseline of this state would be missing, one sentence each, in the order of the state."""
    return [*_zone_gaps(content), *_place_gaps(content), *_line_gaps(content)]


def _zone_gaps(content: Content) -> Iterable[str]:
    for name, zone in content["zones"].items():
        if zone["level_db"] is None:
            yield f"Zone {name} has no level: read it at its spot."
            continue
        for key, word in (("dial", "dial"), ("cap", "cap"), ("spot", "spot"), ("track", "reference track")):
            if zone[key] is None:
                yield f"Zone {name} has no {word}: without it nobody can repeat the reading."


POWER_CUT_KEY = "power-cut test"


def _place_gaps(content: Content) -> Iterable[str]:
    for name, place in content["places"].items():
        if place["kind"] not in {Kind.AMPLIFIER, Kind.ENDPOINT} or place["status"] != Status.IN_SERVICE:
            continue
        if not place["settings"]:
            yield f"No settings are recorded for {name}."
        elif not place["settings"].get(POWER_CUT_KEY, [""])[0]:
            yield f"The power-cut behaviour of {name} is untested: pull the plug, put it back, record what it does."


def _line_gaps(content: Content) -> Iterable[str]:
    for name, line in content["lines"].items():
        if line["verdict"] in {"fail", "unknown"}:
            yield f"Line {name}: {line['says']}"
        if line["life_safety"] == "unknown":
            yield f"Nobody has said whether line {name} serves fire alarm, voice alarm or emergency paging."
