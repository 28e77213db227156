"""Small pieces of wiring written by hand: coils on strings, plans on channels, a site around them."""

from collections.abc import Sequence

from registry.engineering.amplifier import Channel, RatedLoad
from registry.engineering.folding import (
    ChannelFit,
    FoldCoil,
    FoldedAmplifier,
    FoldPlan,
    FoldString,
    FoldZone,
    Mode,
    ZoneFit,
)
from registry.planning.candidates import Offered
from registry.planning.surroundings import FilledPlace, Surroundings
from registry.planning.wired import WiredCoil

NA_2 = Offered(
    make="Make A",
    model="NA-2",
    modes=(Mode("low impedance", 2, 4.0, 3.4),),
    channel=Channel((RatedLoad(8.0, 40.0), RatedLoad(4.0, 70.0)), 4.0),
    price=640.0,
)


def coil(
    label: str, *, string: str = "1", order: int = 1, line: str = "L1", zone: str = "Bar", **given: object
) -> WiredCoil:
    """An 8 Ω coil of Make C CL-8 on the old amplifier, 10 m of cable before it."""
    usual: dict[str, object] = {
        "loudspeaker": label,
        "coil": "1",
        "zone": zone,
        "line": line,
        "amplifier": "Old amplifier",
        "channel": "1",
        "life_safety": "no",
        "kind": "low",
        "string": string,
        "order": order,
        "tap_w": None,
        "plus": "red",
        "minus": "black",
        "cable": "1.5 mm2",
        "cable_m": 10.0,
        "make": "Make C",
        "model": "CL-8",
        "impedance_ohm": 8.0,
        "min_impedance_ohm": None,
        "power_w": 40.0,
        "sensitivity_db": 89.0,
        "insertion_loss_db": None,
        "taps_w": (),
    }
    return WiredCoil(**(usual | given))  # type: ignore[arg-type]


def zone_of(coils: Sequence[WiredCoil], name: str = "Bar", **given: object) -> FoldZone:
    """The zone of these coils as engineering takes it."""
    own = tuple(
        FoldCoil(each.loudspeaker, each.impedance_ohm, each.coil, "Make C CL-8", name)
        for each in coils
        if each.zone == name
    )
    usual: dict[str, object] = {"wanted_db": 60.0, "level_at_283_db": 80.0, "life_safety": "no"}
    return FoldZone(name=name, coils=own, **(usual | given))  # type: ignore[arg-type]


def plan_of(*boxes: dict[str, Sequence[Sequence[tuple[str, Sequence[str]]]]], level_db: float = -20.0) -> FoldPlan:
    """A plan from channels: each a list of (zone, loudspeakers of one string)."""
    made = []
    for number, box in enumerate(boxes, start=1):
        channels = tuple(_channel(name, strings) for name, strings in box.items())
        zones = dict.fromkeys(zone for strings in box.values() for zone, _ in strings)
        fits = tuple(ZoneFit(zone, 1, level_db, 60.0, 60.0, 2.0, 0) for zone in zones)
        made.append(FoldedAmplifier(number, "Make A NA-2", "low impedance", level_db, "mono", channels, fits))
    return FoldPlan(tuple(made), 0.0, None)


def _channel(name: str, strings: Sequence[tuple[str, Sequence[str]]]) -> ChannelFit:
    fitted = tuple(FoldString(zone, tuple(labels), 8.0 * len(labels), ()) for zone, labels in strings)
    load = 1 / sum(1 / string.impedance_ohm for string in fitted) if fitted else None
    return ChannelFit(name, fitted, load, 4.0)


def around(coils: Sequence[WiredCoil], **given: object) -> Surroundings:
    """A site with these coils and nothing that could be used again, unless it is given."""
    usual: dict[str, object] = {
        "places": frozenset({each.amplifier for each in coils}),
        "tags": frozenset(),
        "lines": frozenset({each.line for each in coils}),
        "channels": frozenset({each.channel for each in coils}),
        "amplifiers": (FilledPlace("Old amplifier", "Make B MZ-12"),),
        "coils": tuple(coils),
        "units": (),
        "zones": (),
        "drives": (),
    }
    return Surroundings(**(usual | given))  # type: ignore[arg-type]
