"""The answer about a line of loudspeakers: load, verdicts, what each of them gets, and the schematic."""

from registry.audio.formulas import load_terms
from registry.drawings.schematic import (
    SchematicCable,
    SchematicLine,
    SchematicLoudspeaker,
    SchematicString,
    draw_schematic,
)
from registry.engineering.checks import Check
from registry.engineering.line import CoilLoad, LineLoad
from registry.engineering.line_parts import Coil
from registry.engineering.units import show_quantity
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Column, Drawing, Result, Table

UNIT_COLUMNS = (
    Column("loudspeaker", "Loudspeaker"),
    Column("string", "String"),
    Column("impedance_ohm", "Stands for", "ohm"),
    Column("power_w", "Gets at most", "W"),
    Column("rated_w", "Rated, or its tap", "W"),
    Column("level_re_direct_db", "Level against alone", "dB"),
    Column("cable_loss_db", "Of that, cable", "dB"),
)


def line_answer(load: LineLoad, *, tables: tuple[Table, ...] = ()) -> Answer:
    """Say what a line does to its channel; `tables` come before the table of loudspeakers."""
    deciding = deciding_check(load)
    return Answer(
        says=deciding.says,
        verdict=deciding.verdict,
        results=line_results(load),
        formula=tuple(load_terms(load)),
        cautions=line_cautions(load),
        drawings=(line_drawing(load),),
        checks=load.checks,
        tables=(*tables, _units(load)),
    )


def deciding_check(load: LineLoad) -> Check:
    """The load comes first: another check decides only where it fails and the load does not."""
    loads = next(check for check in load.checks if check.code == "load")
    failing = [check for check in load.checks if check.verdict == "fail"]
    return failing[0] if failing else loads


def line_cautions(load: LineLoad) -> tuple[str, ...]:
    """What stands beside this line's figures."""
    too_much = any(check.code == "load" and check.verdict == "fail" for check in load.checks)
    high = "can shock" in load.caution
    return (CAUTIONS["load"],) * too_much + (CAUTIONS["line"] if high else CAUTIONS["wiring"],)


def line_results(load: LineLoad) -> tuple[Result, ...]:
    """The figures of a whole line."""
    worst = load.worst
    return (
        Result("impedance_ohm", "The channel sees, cable included", load.impedance_ohm, "ohm"),
        Result("minimum_impedance_ohm", "Lowest, each at its minimum", load.minimum_impedance_ohm, "ohm"),
        Result("channel_minimum_ohm", "The channel allows at least", load.channel_minimum_ohm, "ohm"),
        Result("power_w", "It delivers at full output", load.power_w, "W"),
        Result("volts", "At its terminals", load.volts, "V"),
        Result("headroom_db", "Room for more load", load.headroom_db, "dB"),
        Result("cable_loss_db", "The cable costs at most", load.cable_loss_db, "dB"),
        Result("worst_db", "Lowest level against alone", worst.level_re_direct_db if worst else None, "dB"),
    )


def _units(load: LineLoad) -> Table:
    names = load.spec.called(load.loudspeakers)
    rows = tuple(
        (name, coil.string, coil.impedance_ohm, coil.power_w, coil.rated_w, coil.level_re_direct_db, coil.cable_loss_db)
        for name, coil in zip(names, load.loudspeakers, strict=True)
    )
    return Table("loudspeakers", "What each loudspeaker gets at full output", UNIT_COLUMNS, rows)


def line_drawing(load: LineLoad) -> Drawing:
    """The schematic for a desk and for a phone."""
    line = _schematic(load)
    return Drawing(draw_schematic(line, width=720, ident="line-wide"), draw_schematic(line, ident="line-narrow"))


def _schematic(load: LineLoad) -> SchematicLine:
    solved = iter(load.loudspeakers)
    strings = tuple(
        SchematicString(
            f"String {string.name}", tuple(_unit(coil, next(solved), kind=load.kind) for coil in string.coils)
        )
        for string in load.spec.strings
    )
    low = load.kind == "low"
    return SchematicLine(
        title="The line as it is wired",
        wiring="low impedance" if low else "constant voltage",
        amplifier="Amplifier",
        channel="one channel",
        rating=_rating(load),
        strings=strings,
    )


def _rating(load: LineLoad) -> str:
    if load.kind == "low":
        allowed = load.channel_minimum_ohm
        return f"allows {show_quantity(allowed, 'ohm')} or more" if allowed is not None else ""
    return f"{show_quantity(load.channel_power_w, 'W')} at {load.kind} V" if load.channel_power_w is not None else ""


def _unit(coil: Coil, got: CoilLoad, *, kind: str) -> SchematicLoudspeaker:
    over = got.power_w is not None and got.rated_w is not None and got.power_w > got.rated_w * (1 + 1e-9)
    tapped = kind != "low" and coil.tap_w is not None
    size, length = (coil.cable.size, coil.cable.length_m) if coil.cable else (None, None)
    none = length == 0 and size is None
    return SchematicLoudspeaker(
        label=coil.label,
        load=f"tap {_shown(coil.tap_w, 'W')}" if tapped else _shown(got.impedance_ohm, "ohm"),
        power=_shown(got.power_w, "W"),
        level=_shown(got.level_re_direct_db, "dB"),
        cable=SchematicCable("cable", "not counted") if none else SchematicCable(size or "", _shown(length, "m")),
        verdict="warn" if over else None,
        remark=f"more than its {_shown(got.rated_w, 'W')}" if over else "",
    )


def _shown(value: float | None, unit: str) -> str:
    return "" if value is None or value in (float("inf"), float("-inf")) else show_quantity(value, unit)
