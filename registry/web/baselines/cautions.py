"""Which cautions stand beside the steps of a place or a zone."""

from registry.baselines.restore_sheet import Group
from registry.baselines.snapshot import Content
from registry.engineering.exposure import exposure_caution
from registry.equipment.models import Kind
from registry.web.cautions import CAUTIONS

QUIET_START = "Turn the dial down before you change a cap, and raise it slowly: no sudden full level."


def cautions_of(group: Group, content: Content) -> list[str]:
    """Return the cautions for a group of steps, from what was frozen with it."""
    if group.excluded:
        return []
    return _for_place(group.name, content) if group.subject == "place" else _for_zone(group.name, content)


def _for_place(name: str, content: Content) -> list[str]:
    place = content["places"].get(name, {})
    lines = [line for line in content["lines"].values() if line["amplifier"] == name]
    found = [CAUTIONS["mains"]] if place.get("kind") in {Kind.AMPLIFIER, Kind.UPS} else []
    if any(line["verdict"] == "fail" for line in lines):
        found.append(CAUTIONS["load"])
    return found


def _for_zone(name: str, content: Content) -> list[str]:
    lines = [line for line in content["lines"].values() if name in line["zones"]]
    found = []
    if any(line["kind"] in {"70.7", "100"} for line in lines):
        found.append(CAUTIONS["line"])
    if any(line["verdict"] == "fail" for line in lines):
        found.append(CAUTIONS["load"])
    if exposure := exposure_caution(content["zones"][name]["level_db"]):
        found.append(exposure)
    return [*found, QUIET_START]
