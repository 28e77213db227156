"""Which cautions stand beside the steps of a place or a zone."""

from collections.abc import Sequence

from registry.baselines.failing_lines import FailingLine
from registry.baselines.restore_sheet import Group, Stage
from registry.baselines.snapshot import Content
from registry.engineering.exposure import exposure_caution
from registry.equipment.models import Kind
from registry.web.cautions import CAUTIONS

QUIET_START = "Turn the dial down before you change a cap, and raise it slowly: no sudden full level."
DECIDE = "A decision is needed before it is switched on."


def cautions_of(group: Group, content: Content, failing: Sequence[FailingLine]) -> list[str]:
    """Return the cautions for a group of steps, from what was frozen with it and the lines whose load fails.

    Where nothing is to be altered a failing load is still named: somebody might switch it on.
    """
    loads = _loads({line.name for line in failing if group.name == getattr(line, group.subject, None)})
    if group.excluded:
        return loads
    if group.subject == "place":
        return _for_place(group, content, loads)
    return _for_zone(group.name, content, loads) if group.subject == "zone" else []


def _for_place(group: Group, content: Content, loads: list[str]) -> list[str]:
    place = content["places"].get(group.name, {})
    found = [CAUTIONS["mains"]] if place.get("kind") in {Kind.AMPLIFIER, Kind.UPS} else []
    found += loads
    return [*found, QUIET_START] if any(step.stage in {Stage.CAP, Stage.DIAL} for step in group.steps) else found


def _for_zone(name: str, content: Content, loads: list[str]) -> list[str]:
    lines = [line for line in content["lines"].values() if name in line["zones"]]
    found = []
    if any(line["kind"] in {"70.7", "100"} for line in lines):
        found.append(CAUTIONS["line"])
    found += loads
    if exposure := exposure_caution(content["zones"][name]["level_db"]):
        found.append(exposure)
    return [*found, QUIET_START]


def _loads(names: set[str]) -> list[str]:
    return [f"Line {name}: {CAUTIONS['load']} {DECIDE}" for name in sorted(names)]
