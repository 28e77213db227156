"""What a design takes: amplifiers, cable, jumpers, labels, in-line controls, and every cable with its two ends."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from registry.engineering.folding import FoldZone
from registry.planning.design import Design, DesignedCoil, DesignedLine
from registry.planning.wiring_sheet import LineSheet, wiring_sheet
from registry.planning.work import is_chain

LABELS_PER_CABLE = 2  # one at each end: common practice
SPARE_CABLE = 1.1  # cut lengths are ordered with a tenth to spare: common practice


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to have ready; `price` is for all of them, None when it is not known or not counted."""

    what: str
    count: float
    unit: str
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CableRow:
    """One cable with its two ends, as its labels will say."""

    line: str
    loudspeaker: str
    begins: str
    size: str
    length_m: float | None
    plus: str
    minus: str
    is_new: bool


def parts_list(design: Design, zones: Iterable[FoldZone], *, prices: Mapping[str, float | None]) -> tuple[Part, ...]:
    """Return what must be there before the work begins. Cable of new runs comes with a tenth to spare."""
    sheets = wiring_sheet(design)
    cables = cable_list(design)
    return (
        *_amplifiers(design, prices),
        *_cable(cables),
        *_counted("jumper, one for each joint", sum(sheet.jumpers for sheet in sheets)),
        *_counted("terminal on a strip, one for each conductor", _terminals(sheets)),
        *_counted("cable label, two for each cable", LABELS_PER_CABLE * len(cables)),
        *_controls(zones),
    )


def _amplifiers(design: Design, prices: Mapping[str, float | None]) -> Iterator[Part]:
    new = [f"{box.make} {box.model}" for box in design.boxes if box.seat.is_new]
    for name in dict.fromkeys(new):
        price = prices.get(name)
        yield Part(name, new.count(name), "pcs", None if price is None else price * new.count(name))


def _cable(cables: Iterable[CableRow]) -> Iterator[Part]:
    fresh = [cable for cable in cables if cable.is_new]
    for size in dict.fromkeys(cable.size for cable in fresh):
        lengths = [cable.length_m for cable in fresh if cable.size == size]
        known = [length for length in lengths if length is not None]
        unknown = f", {len(lengths) - len(known)} of unknown length" if len(known) < len(lengths) else ""
        name = f"two-conductor cable {size or 'of a size to be chosen'}{unknown}"
        yield Part(name, round(sum(known) * SPARE_CABLE, 1), "m")


def _terminals(sheets: Iterable[LineSheet]) -> int:
    return sum(len(string.landings) for sheet in sheets for string in sheet.strings)


def _counted(what: str, count: int) -> Iterator[Part]:
    if count:
        yield Part(what, count, "pcs")


def _controls(zones: Iterable[FoldZone]) -> Iterator[Part]:
    for zone in zones:
        if zone.control_db:
            yield Part(f"in-line control for {zone.name}, set to −{zone.control_db:g} dB", 1, "pcs")


def cable_list(design: Design) -> tuple[CableRow, ...]:
    """Return every cable that lands at the rack, line by line, and the pieces between loudspeakers behind it."""
    return tuple(
        _row(line, coils, at) for line in design.lines for coils in line.strings.values() for at in range(len(coils))
    )


def _row(line: DesignedLine, coils: list[DesignedCoil], at: int) -> CableRow:
    coil = coils[at]
    joined = is_chain(coils) and at > 0
    return CableRow(
        line=line.name,
        loudspeaker=coil.wired.name,
        begins=coils[at - 1].wired.name if joined else f"{line.place}, channel {line.channel}",
        size=coil.run.cable,
        length_m=coil.run.cable_m,
        plus=coil.wired.plus,
        minus=coil.wired.minus,
        is_new=coil.run.is_new,
    )
