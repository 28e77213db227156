"""The usual tasks of planned maintenance: what each is about, how often, what passes, what to record, what may hurt.

Intervals, pass criteria and cautions are common practice unless the line says otherwise; every plan adjusts them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from registry.planning.impedance import COMPUTED_TOLERANCE
from registry.visits.models.kinds import TaskKind


class About(StrEnum):
    """What one line of a checklist is about: each task asks once per such thing, or once for the site."""

    SITE = "site"
    ZONE = "zone"
    LINE = "line"
    RACK = "rack"
    UPS = "rack with a UPS"
    AMPLIFIER = "amplifier or endpoint"
    NETWORKED = "place with an address"


@dataclass(frozen=True, slots=True)
class Task:
    """How a task is done. `months` is its usual interval, 0 at every visit; `cautions` are names of web.cautions."""

    about: About
    months: int
    passes: str
    record: str
    cautions: tuple[str, ...] = ()


# In working order: listen and measure first, switch off last.
TASKS: Final[Mapping[TaskKind, Task]] = {
    TaskKind.CONTROLS: Task(
        About.ZONE, 0, "Every dial stands at its default position.", "the position found, and the one left"
    ),
    TaskKind.INPUTS: Task(
        About.AMPLIFIER, 0, "Every setting is the baseline's.", "each setting that differs, as found and as left"
    ),
    TaskKind.LEVELS: Task(
        About.ZONE,
        6,
        "The level at the spot is within the zone's tolerance of the baseline.",
        "the level with the baseline's track, dial and meter class",
        ("hearing",),
    ),
    TaskKind.LISTEN: Task(
        About.ZONE,
        12,
        "As many loudspeakers play as are recorded, without rattle or hiss.",
        "the label of each one that is silent or distorts",
    ),
    TaskKind.FILTERS: Task(
        About.RACK, 12, "Filters and vents let air through.", "what was cleaned or changed", ("mains",)
    ),
    TaskKind.FANS: Task(
        About.RACK,
        12,
        "Every fan turns; the top of the rack is no hotter than the makers allow.",
        "the temperature at the top of the rack, and which fan stands still",
        ("mains",),
    ),
    TaskKind.UPS_TEST: Task(
        About.UPS,
        6,
        "The load runs on the battery as long as it must, and comes back to mains by itself.",
        "the load and the minutes on battery",
        ("mains",),
    ),
    TaskKind.UPS_BATTERY: Task(
        About.UPS,
        6,
        # Published: valve-regulated lead-acid batteries last 3 to 5 years, half as long per 8 °C above 25 °C; their
        # life ends at 80 % of the capacity (figures from memory, see the makers' sheets).
        "The battery is younger than 4 years and holds 80 % of its capacity.",
        "the date on the battery, its temperature, and when it has to be changed",
        ("mains",),
    ),
    TaskKind.NETWORK: Task(
        About.SITE, 6, "No port counts errors or was refused power; a spare port is left.", "what differs from the list"
    ),
    TaskKind.FIRMWARE: Task(
        About.NETWORKED,
        6,
        "The version is the one that was agreed. After a change the levels are measured again.",
        "the version, and whether settings were saved before",
    ),
    TaskKind.CONFIGURATION: Task(
        About.NETWORKED, 6, "The saved copy opens and is of this device.", "the date of the copy and where it is kept"
    ),
    TaskKind.ACCOUNTS: Task(
        About.SITE,
        12,
        "The owner has an owner's account; nobody who left has one; licences run on.",
        "what was removed, and what ends when: never a password",
    ),
    TaskKind.LABELS: Task(
        About.SITE,
        12,
        "Every label can be read; the rack sheet and the door card show what is there.",
        "what was printed anew",
    ),
    TaskKind.CABLES: Task(
        About.SITE, 12, "No strain, heat, bite or water at cables and joints.", "a photo of what is not in order"
    ),
    TaskKind.FIXINGS: Task(
        About.SITE,
        12,
        "Every ceiling fixing and safety wire holds.",
        "the label of each loudspeaker whose fixing is loose",
        ("ladder",),
    ),
    TaskKind.TERMINALS: Task(
        About.RACK,
        12,
        "No conductor comes out at a tug, no whisker stands out, screws have the maker's torque.",
        "which terminals were tightened: with mains off, never live",
        ("mains", "wiring"),
    ),
    TaskKind.IMPEDANCE: Task(
        About.LINE,
        12,
        f"Within {100 * COMPUTED_TOLERANCE:.0f} % of what is computed for the line, no less than its channel allows.",
        "the impedance at the terminals and the test frequency",
        ("wiring", "line"),
    ),
    TaskKind.POWER_CUT: Task(
        About.SITE,
        12,
        "With the owner's permission: after power returns, every zone plays as the baseline says.",
        "the seconds until it plays, and what did not return",
        ("mains",),
    ),
    TaskKind.MUTE_CONTACT: Task(
        About.SITE,
        12,
        "Witnessed with the alarm company, never alone: the music goes off and stays off.",
        "only the result, who witnessed it, and the day: the alarm itself is not touched",
        ("life-safety",),
    ),
    TaskKind.OTHER: Task(About.SITE, 12, "As the plan says.", "what was found and what was done"),
}

ALWAYS: Final = frozenset(kind for kind, task in TASKS.items() if task.about == About.SITE) - {
    TaskKind.OTHER,
    TaskKind.MUTE_CONTACT,
}
