"""What `check_site` says of a site: every load, every rack, every zone against its baseline."""

from collections.abc import Iterable
from typing import Any, TypedDict

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Drift, Line, Zone
from registry.baselines.drift import drifts_of
from registry.engineering.checks import Check
from registry.engineering.line import LineLoad
from registry.equipment.models import Place
from registry.equipment.queries import with_items
from registry.equipment.racks import by_rack
from registry.equipment.racks import load_of as rack_load_of
from sites.models import Rack, Site, YesNoUnknown


class SiteCheck(TypedDict):
    """The answer of `check_site --json`, as survey-format has it."""

    site: str
    lines: list[dict[str, Any]]
    racks: list[dict[str, Any]]
    zones: list[dict[str, Any]]


def check_site(site: Site) -> SiteCheck:
    """Return the checks of a site, computed now from what is recorded. A constant number of queries."""
    lines = with_wiring(Line.objects.filter(site=site)).order_by("name")
    zones = list(Zone.objects.filter(site=site).order_by("name"))
    drifts = drifts_of(zones)
    places = by_rack(with_items(Place.objects.filter(site=site)))
    return {
        "site": site.code,
        "lines": [_line(line) for line in lines],
        "racks": [_rack(rack, places[rack.pk]) for rack in Rack.objects.filter(site=site).order_by("name")],
        "zones": [_zone(zone, drifts[zone.pk]) for zone in zones],
    }


def failed(result: SiteCheck) -> bool:
    """Return whether anything fails, or a zone is out of its tolerance."""
    checks = [check for part in (*result["lines"], *result["racks"]) for check in part["checks"]]
    return any(check["verdict"] == "fail" for check in checks) or any(
        zone["verdict"] == Drift.OUT for zone in result["zones"]
    )


def _line(line: Line) -> dict[str, Any]:
    names = {"line": line.name, "amplifier": line.amplifier.name, "channel": line.channel, "kind": line.kind}
    if not line.coils.all():
        nothing = Check("load", "unknown", "No loudspeaker is connected to this line.")
        checks = [_check(check) for check in (nothing, *_life_safety(line))]
        return names | dict.fromkeys(LINE_FIGURES) | {"loudspeakers": [], "checks": checks}
    load = load_of(line)
    return names | _figures(load) | {"checks": [_check(check) for check in (*load.checks, *_life_safety(line))]}


def _life_safety(line: Line) -> list[Check]:
    if line.life_safety == YesNoUnknown.NO:
        return []
    if line.life_safety == YesNoUnknown.YES:
        return [Check("life-safety", "warn", "This line serves life safety: do not alter it.")]
    says = "Nobody has said whether this line serves fire alarm, voice alarm or emergency paging: do not alter it."
    return [Check("life-safety", "unknown", says)]


LINE_FIGURES = ("impedance_ohm", "minimum_impedance_ohm", "channel_minimum_ohm", "power_w", "channel_power_w")


def _figures(load: LineLoad) -> dict[str, Any]:
    return {name: getattr(load, name) for name in LINE_FIGURES} | {
        "loudspeakers": [
            {
                "label": unit.label,
                "coil": int(unit.coil) if unit.coil.isdecimal() else unit.coil,
                "power_w": unit.power_w,
                "level_re_direct_db": _finite(unit.level_re_direct_db),
            }
            for unit in load.loudspeakers
        ]
    }


def _finite(level_db: float | None) -> float | None:
    """JSON has no minus infinity: a loudspeaker that gets nothing has no level."""
    return None if level_db is not None and level_db == float("-inf") else level_db


def _check(check: Check) -> dict[str, str]:
    return {"code": check.code, "verdict": check.verdict, "says": check.says}


RACK_FIGURES = (
    "used_u",
    "free_u",
    "weight_kg",
    "idle_w",
    "max_w",
    "heat_btu_h",
    "current_a",
    "circuit_limit_a",
)


def _rack(rack: Rack, places: Iterable[Place]) -> dict[str, Any]:
    load = rack_load_of(rack, places)
    figures = {name: getattr(load, name) for name in RACK_FIGURES}
    return {"rack": rack.name} | figures | {"checks": [_check(check) for check in load.checks]}


def _zone(zone: Zone, drift: Any) -> dict[str, Any]:
    return {
        "zone": zone.name,
        "spot": zone.spot or None,
        "level_db": drift.level_db,
        "baseline_db": drift.baseline_db,
        "drift_db": drift.drift_db,
        "uncertainty_db": drift.uncertainty_db,
        "verdict": str(drift.verdict),
    }
