"""Short ways to write networks and lines in tests."""

from collections.abc import Sequence
from typing import Any

from registry.engineering.line import Cable, Channel, Coil, RatedLoad, String
from registry.engineering.network import Parallel, Resistor, Series, Tree

FOOT_M = 0.3048
INCH_M = 0.0254
# A circular mil is the area of a circle of 0.001 in diameter.
CIRCULAR_MIL_MM2 = 0.25 * 3.141592653589793 * 0.0254**2
NO_CABLE = Cable(None, 0.0)
HUNDRED_WATTS = Channel(rated=(RatedLoad(8.0, 100.0),))


def network(net: Any) -> Tree:
    """The reference tables' nested lists: ["S", …] in series, ["P", …] in parallel, numbers in ohms."""
    if isinstance(net, int | float):
        return Resistor(float(net))
    kind, *parts = net
    return {"S": Series, "P": Parallel}[kind]([network(part) for part in parts])


def in_strings(net: Any) -> list[list[float]] | None:
    """The same lists as strings of a line, where they have that shape."""
    if isinstance(net, int | float):
        return [[float(net)]]
    kind, *parts = net
    if kind == "S":
        return [[float(part) for part in parts]] if all(isinstance(part, int | float) for part in parts) else None
    found = [in_strings(part) for part in parts]
    return None if any(string is None or len(string) != 1 for string in found) else [s[0] for s in found if s]


def strings(ohms: Sequence[Sequence[float]], cable: Cable | None = NO_CABLE, **more: Any) -> list[String]:
    """Strings of coils LS1, LS2 … with these impedances."""
    count = iter(range(1, 10_000))
    return [
        String(str(n), tuple(Coil(f"LS{next(count)}", impedance_ohm=ohm, cable=cable, **more) for ohm in string))
        for n, string in enumerate(ohms, start=1)
    ]


def daisy_chain(taps_w: Sequence[float], cable: Cable | None = NO_CABLE, **more: Any) -> String:
    """One string of a constant-voltage line with these taps and the same piece of cable before each."""
    return String("1", tuple(Coil(f"LS{n}", tap_w=w, cable=cable, **more) for n, w in enumerate(taps_w, start=1)))
