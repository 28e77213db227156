"""What each kind of fault asks for: what to bring, and what can be done by phone. All of it is common practice."""

from collections.abc import Mapping
from typing import Final, NamedTuple

from registry.engineering.diagnosis import SuspectKind


class Remedy(NamedTuple):
    """What to bring, what somebody at the site can do while on the phone, and the cautions beside it."""

    bring: tuple[str, ...]
    by_phone: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


LISTEN: Final = "Have them walk the zone and say which loudspeaker is silent; nobody climbs up."
LOUDSPEAKER: Final = ("spare loudspeaker of the same model and tap", "impedance meter", "ferrules and terminals")
SETTINGS: Final = ("laptop or phone with access to the settings", "baseline's restore sheet")

REMEDIES: Final[Mapping[SuspectKind, Remedy]] = {
    "no fault": Remedy(
        ("sound level meter and reference track of the baseline",),
        ("Ask at which hour and with how many guests: a full room makes the same music seem quieter.",),
    ),
    "coil open": Remedy(LOUDSPEAKER, (LISTEN,), ("ladder", "wiring")),
    "coil shorted": Remedy(
        LOUDSPEAKER,
        ("Have the volume of that zone turned right down until somebody has measured the line.",),
        ("load", "ladder", "wiring"),
    ),
    "cable open": Remedy(
        ("cable of the same kind", "continuity tester", "ferrules and terminals", "labels"),
        ("Ask whether decorators or builders worked in the ceiling or along the skirting.", LISTEN),
        ("ladder", "wiring"),
    ),
    "line open": Remedy(
        ("continuity tester", "ferrules and terminals", "cable of the same kind", "labels"),
        ("Ask whether somebody moved the amplifier or worked near it; nobody unplugs or opens anything.",),
        ("wiring", "ladder"),
    ),
    "polarity reversed": Remedy(
        ("polarity tester", "terminal map of the baseline", "screwdrivers"),
        ("Ask whether somebody changed a loudspeaker or opened a ceiling tile.",),
        ("ladder", "wiring"),
    ),
    "channel dead": Remedy(
        ("known-good loudspeaker", "impedance meter", "spare amplifier of the same model"),
        (
            "Ask which lights the amplifier shows, and whether it is hot or its vents are covered.",
            "Measure the line before another amplifier is put on it: a shorted line takes the new one too.",
        ),
        ("wiring", "load"),
    ),
    "amplifier dead": Remedy(
        ("spare amplifier of the same model", "impedance meter", "fuses of the type on its label", "mains lead"),
        (
            "Ask whether its light is on, the plug is in and the socket works; nobody opens anything.",
            "If a breaker has tripped, it is put back once at most; if it trips again, an electrician looks.",
        ),
        ("mains", "lifting"),
    ),
    "dial moved": Remedy(SETTINGS, ("Have staff put the dial back to where it belongs, and listen.",)),
    "cap changed": Remedy(SETTINGS, ("Set the cap as in the baseline, from here or with a manager at the site.",)),
    "source level changed": Remedy(SETTINGS, ("Set the level of the source as in the baseline, and listen.",)),
    "source silent": Remedy(
        ("known-good source and its cable", "spare source or endpoint", "network cable"),
        (
            "After a power cut a unit may come back on another input: choose the input of the baseline.",
            "Ask whether the source shows that it plays, and whether the internet works there.",
            "Restart the source once, never to factory settings.",
        ),
    ),
    "group lost": Remedy(
        (*SETTINGS, "network cable"),
        (
            "Put the endpoint back into its group.",
            "Ask for a new internet box or network name: what is in another network can't join its group.",
        ),
    ),
}

# In this order each step halves what is left, and the first two can be done by phone.
SPLITTING: Final = (
    ("Source", "Does it show that it plays? Another source into the same input: music now means the source."),
    ("Endpoint", "Is it on, on the network, on the right input and in its group? Its settings against the record."),
    ("Amplifier", "Lights, heat, protection. A known-good loudspeaker on the channel: silence means the amplifier."),
    ("Line", "Amplifier off, line disconnected: measure its impedance and compare it with what is recorded."),
    ("Loudspeaker", "Listen at each one; measure the silent one by itself, then the cable to it."),
)

# What a caller is asked about before anything else (common practice).
CHANGES: Final = (
    "power cut",
    "new internet box or network",
    "decorators or builders",
    "new manager or staff",
    "equipment moved or changed",
)
