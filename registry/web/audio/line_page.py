"""What a line's page shows, computed now from what is recorded."""

from typing import Any, NamedTuple

from registry.audio.formulas import heard, load_terms
from registry.audio.loads import amplifier_model, load_of
from registry.audio.models import Coil, Line
from registry.audio.schematics import schematic_of, size_shown
from registry.drawings.schematic import draw_schematic
from registry.engineering.line import CoilLoad, Fault, LineLoad, faults
from registry.planning.last_measured import measured_words, not_in_order
from registry.web.commissioning.line_history import measurement_rows

FEW_FAULTS = 16
NOTHING_WIRED = "No loudspeaker is connected to this line, so there is no load to judge."
FAULT_WORDS = {
    "coil open": "{} open",
    "coil shorted": "{} shorted",
    "cable open": "cable to {} open",
    "polarity reversed": "{} with plus and minus swapped",
}


class Unit(NamedTuple):
    """One coil of a line and what it gets."""

    coil: Coil
    load: CoilLoad
    over: bool
    cable: str


class FaultRow(NamedTuple):
    """One single fault and what follows from it."""

    what: str
    load: str
    ohm: float | None
    survives: str
    heard: str


def line_page(line: Line) -> dict[str, Any]:
    """Return the context of a line's page; the line came through `with_wiring`."""
    coils = list(line.coils.all())
    load = load_of(line) if coils else None
    rows = _faults(load) if load else []
    wrong = not_in_order([line]).get(line.pk)
    return {
        "load": load,
        "says": load.says if load else NOTHING_WIRED,
        "wrong": wrong,
        "wrong_words": measured_words(wrong) if wrong else "",
        "measurements": measurement_rows(line),
        "drawings": drawings(line, load, judged=False),
        "units": _units(coils, load) if load else [],
        "terms": load_terms(load) if load else [],
        "faults": rows,
        "many_faults": len(rows) > FEW_FAULTS,
        "model": amplifier_model(line),
        "ratings": list(model.ratings.all()) if (model := amplifier_model(line)) else [],
        "zones": list({coil.loudspeaker.zone_id: coil.loudspeaker.zone for coil in coils}.values()),
    }


def drawings(line: Line, load: LineLoad | None, *, judged: bool = True) -> dict[str, str]:
    """Return the schematic of a line in two widths, for a desk and for a phone."""
    schematic = schematic_of(line, load, judged=judged)
    return {
        "wide": draw_schematic(schematic, width=720, ident=f"line-{line.pk}-wide"),
        "narrow": draw_schematic(schematic, ident=f"line-{line.pk}-narrow"),
    }


def _units(coils: list[Coil], load: LineLoad) -> list[Unit]:
    loads = {(unit.label, unit.coil): unit for unit in load.loudspeakers}
    found = [(coil, loads[(coil.loudspeaker.label, coil.coil)]) for coil in coils]
    return [Unit(coil, unit, _over(unit), size_shown(coil.cable)) for coil, unit in found]


def _over(unit: CoilLoad) -> bool:
    return unit.power_w is not None and unit.rated_w is not None and unit.power_w > unit.rated_w * (1 + 1e-9)


def _faults(load: LineLoad) -> list[FaultRow]:
    others = len(load.spec.coils) - 1
    return [_fault_row(fault, load, others) for fault in faults(load)]


def _fault_row(fault: Fault, load: LineLoad, others: int) -> FaultRow:
    name = load.spec.names[fault.label, fault.coil]
    what = FAULT_WORDS[fault.kind].format(name)
    words = {True: "pass", False: "fail", None: "unknown"}
    ohm = fault.impedance_ohm
    special = {float("inf"): "no load", 0.0: "dead short"}.get(ohm, "") if ohm is not None else ""
    return FaultRow(what[0].upper() + what[1:], special, ohm, words[fault.survives], heard(fault, others=others))
