"""What is frozen, in words: labels and units of the values in a baseline's content."""

from datetime import datetime
from typing import Any

from registry.audio.models import LineKind
from registry.engineering.units import show_quantity
from registry.web.templatetags.evenkeel import NOT_KNOWN, VERDICT_WORDS, day
from sites.models import Site

LABELS: dict[str, tuple[str, str]] = {
    "level_db": ("Level", "dB(A)"),
    "background_db": ("Background", "dB(A)"),
    "dial": ("Dial", "%"),
    "cap": ("Cap", "%"),
    "drive_v": ("Drive", "V"),
    "default_position": ("Default position", "%"),
    "tolerance_db": ("Tolerance", "dB"),
    "impedance_ohm": ("Impedance", "ohm"),
    "power_w": ("Power at full output", "W"),
    "meter_class": ("Meter class", ""),
    "life_safety": ("Life-safety related", ""),
    "taken_at": ("Read at", ""),
    "position_u": ("Lowest rack unit", ""),
    "ip": ("IP address", ""),
}
SUBJECTS = {"places": "Place", "zones": "Zone", "lines": "Line"}
SETTING = "setting: "


def label_of(key: str) -> str:
    """Return the word for a key: settings keep the name that they have on the device."""
    if key.startswith(SETTING):
        return key.removeprefix(SETTING)
    return LABELS.get(key, (key.replace("_", " ").capitalize(), ""))[0]


def value_of(key: str, value: Any, site: Site) -> str:
    """Return a frozen value as people read it."""
    if value is None or value == "":
        return NOT_KNOWN
    unit = LABELS.get(key, ("", ""))[1]
    if unit and isinstance(value, int | float):
        return show_quantity(float(value), unit, "us" if site.units == "us" else "metric")
    if isinstance(value, list):
        return ", ".join(str(part) for part in value) or "none"
    return _word(key, str(value), site)


def _word(key: str, text: str, site: Site) -> str:
    if key == "verdict":
        return VERDICT_WORDS[text]
    if key == "kind" and text in LineKind.values:
        return str(LineKind(text).label)
    if key == "taken_at":
        there = datetime.fromisoformat(text).astimezone(site.zone_info)
        return f"{day(there)} {there:%H:%M}"
    return text
