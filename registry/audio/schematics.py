"""A line as a schematic: its wiring with the figures in the site's own units."""

from collections.abc import Sequence
from typing import Literal

from registry.audio.models import Coil, Line, LineKind
from registry.drawings.schematic import SchematicCable, SchematicLine, SchematicLoudspeaker, SchematicString
from registry.engineering.line import CoilLoad, LineLoad
from registry.engineering.units import show_quantity

Units = Literal["metric", "us"]


def schematic_of(
    line: Line, load: LineLoad | None, *, judged: bool = True, coils: Sequence[Coil] | None = None
) -> SchematicLine:
    """Return the drawing's contents for a line that came through `with_wiring`; `load` is None when nothing is wired.

    `judged` writes the verdict of the load above it, for where the page doesn't say it already. `coils` are drawn
    instead of those that the line has, for a wiring that is only thought of.
    """
    hung = list(line.coils.all() if coils is None else coils)
    units: Units = "us" if line.site.units == "us" else "metric"
    return SchematicLine(
        title=line.name,
        wiring="low impedance" if line.kind == LineKind.LOW else "constant voltage",
        amplifier=line.amplifier.name,
        channel=f"channel {line.channel}",
        rating=_rating(line, load, units),
        strings=_strings(hung, load, units) if load else (),
        verdict=load.verdict if load and judged else None,
        says=load.says if load and judged else "",
    )


def _rating(line: Line, load: LineLoad | None, units: Units) -> str:
    if load is None:
        return ""
    if line.kind == LineKind.LOW:
        allowed = load.channel_minimum_ohm
        return f"allows {show_quantity(allowed, 'ohm', units)} or more" if allowed is not None else ""
    power = load.channel_power_w
    return f"{show_quantity(power, 'W', units)} at {load.kind} V" if power is not None else ""


def _strings(coils: Sequence[Coil], load: LineLoad, units: Units) -> tuple[SchematicString, ...]:
    loads = {(unit.label, unit.coil): unit for unit in load.loudspeakers}
    labels = [coil.loudspeaker.label for coil in coils]
    strings: dict[str, list[SchematicLoudspeaker]] = {}
    for coil in coils:
        label = coil.loudspeaker.label
        named = coil.coil if labels.count(label) > 1 else ""
        unit = loads[(label, coil.coil)]
        strings.setdefault(coil.string, []).append(_loudspeaker(coil, unit, named=named, units=units))
    return tuple(SchematicString(f"String {name}", tuple(units)) for name, units in strings.items())


def _loudspeaker(coil: Coil, unit: CoilLoad, *, named: str, units: Units) -> SchematicLoudspeaker:
    over = unit.power_w is not None and unit.rated_w is not None and unit.power_w > unit.rated_w * (1 + 1e-9)
    tap = coil.tap_w is not None and coil.line.kind != LineKind.LOW
    return SchematicLoudspeaker(
        label=coil.loudspeaker.label,
        coil=named,
        load=f"tap {_shown(coil.tap_w, 'W', units)}" if tap else _shown(unit.impedance_ohm, "ohm", units),
        power=_shown(unit.power_w, "W", units),
        level=_shown(unit.level_re_direct_db, "dB", units),
        cable=SchematicCable(size_shown(coil.cable), _shown(coil.cable_m, "m", units), coil.plus, coil.minus),
        verdict="warn" if over else None,
        remark=f"more than its {_shown(unit.rated_w, 'W', units)}" if over else "",
    )


def size_shown(size: str) -> str:
    """Return a conductor size as people read it."""
    return size.replace("mm2", "mm²")


def _shown(value: float | None, unit: str, units: Units) -> str:
    return "" if value is None or value in (float("inf"), float("-inf")) else show_quantity(value, unit, units)
