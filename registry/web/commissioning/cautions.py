"""The one-line cautions that stand beside the steps of commissioning. All are common practice; local codes decide."""

from collections.abc import Iterable

from registry.audio.models import Line, LineKind, Verdict
from registry.web.baselines.cautions import QUIET_START
from registry.web.cautions import CAUTIONS

HIGH = frozenset({LineKind.V70, LineKind.V100})
DISCONNECTED = (
    "Amplifier off, this line off its terminals: impedance meters and batteries go on disconnected lines only. "
    "Insulated clips, one hand."
)
BATTERY = "By battery only on a disconnected line without transformers; elsewhere use a polarity tester."
TERMINALS = (
    "Volts at live terminals: insulated CAT-rated probes, one hand, start at minimum. On a bridge-tied output measure "
    "between its two terminals; don't earth or short either."
)
UNPLUG = (
    "Pull this unit's own plug, never a shared breaker; UPS outputs stay live with the plug out. Let staff know first. "
    "Fixed mains wiring is for a licensed electrician."
)
NOT_ALARMS = "Make sure that nothing of a fire alarm, voice alarm or emergency paging hangs on it: if unsure, leave it."


def at_line(line: Line) -> dict[str, list[str]]:
    """Return the cautions beside measuring at a line's terminals, by step."""
    return {"impedance": [DISCONNECTED, *_of_lines([line])], "polarity": [BATTERY]}


def at_zone(lines: Iterable[Line]) -> dict[str, list[str]]:
    """Return the cautions beside reading and matching a zone, by step."""
    return {"found": [TERMINALS, *_of_lines(lines)], "left": [QUIET_START, CAUTIONS["hearing"]]}


def at_place(site_has_alarm: str) -> dict[str, list[str]]:
    """Return the cautions beside a power-cut test."""
    return {"cut": [UNPLUG, CAUTIONS["life-safety"] if site_has_alarm != "no" else NOT_ALARMS]}


def _of_lines(lines: Iterable[Line]) -> list[str]:
    lines = list(lines)
    found = [CAUTIONS["line"]] if any(line.kind in HIGH for line in lines) else []
    if any(line.verdict == Verdict.FAIL for line in lines):
        found.append(CAUTIONS["load"])
    return found
