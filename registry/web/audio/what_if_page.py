"""What the page of "what if" shows: the wiring as it is beside the one that is asked for."""

from typing import Any, NamedTuple

from registry.audio.models import Line
from registry.audio.rewiring import wiring_mark
from registry.audio.schematics import schematic_of
from registry.audio.what_if import (
    MOST_COILS,
    CoilChange,
    Hung,
    Proposal,
    State,
    as_it_is,
    as_proposed,
    coil_changes,
)
from registry.audio.wiring_changes import changes_said
from registry.drawings.schematic import draw_schematic
from registry.web.audio.what_if_asked import Asked
from registry.web.templatetags.evenkeel import NOT_KNOWN, shown

DESK_WIDTH = 540


class Side(NamedTuple):
    """One of the two wirings: drawn, solved and judged."""

    state: State
    drawing: str
    narrow: str


class Row(NamedTuple):
    """One coil in both wirings, and how much louder it gets."""

    name: str
    before: Hung | None
    after: Hung | None
    too_much: bool
    difference: str


class Fact(NamedTuple):
    """One figure of both wirings."""

    name: str
    before: str
    after: str


def what_if_page(line: Line, asked: Asked) -> dict[str, Any]:
    """Return the context; without a valid change there is only one side, the wiring as it is."""
    before = as_it_is(line)
    context: dict[str, Any] = {
        "asked": asked,
        "before": _side(line, before, "now"),
        "most_coils": MOST_COILS,
        "mark": wiring_mark(line.coils.all()),
    }
    if not asked.is_valid or not asked.changed:
        return context
    return context | _compared(line, before, asked.proposal())


def _compared(line: Line, before: State, proposal: Proposal) -> dict[str, Any]:
    after = as_proposed(line, proposal)
    rows = coil_changes(before, after)
    changes = changes_said(line, proposal)
    swapped = proposal.amplifier is not None
    return {
        "after": _side(line, after, "then"),
        "facts": _facts(before, after),
        "rows": [_row(row) for row in rows],
        "loudest": _loudest(rows),
        "changes": changes,
        "swapped": proposal.amplifier,
        "kept": as_proposed(line, _without_amplifier(proposal)) if swapped and changes else None,
    }


def _without_amplifier(proposal: Proposal) -> Proposal:
    return Proposal(proposal.seats, proposal.left_out, proposal.joining)


def _side(line: Line, state: State, ident: str) -> Side:
    drawn = schematic_of(line, state.load, judged=False, coils=state.coils)
    wide, narrow = draw_schematic(drawn, width=DESK_WIDTH, ident=f"{ident}-wide"), draw_schematic(drawn, ident=ident)
    return Side(state, wide, narrow)


FIGURES = (
    ("Impedance", "impedance_ohm", "ohm"),
    ("Lowest impedance", "minimum_impedance_ohm", "ohm"),
    ("The channel allows, at least", "channel_minimum_ohm", "ohm"),
    ("Power at full output", "power_w", "W"),
    ("Lost in the cable, at most", "cable_loss_db", "dB"),
)


def _facts(before: State, after: State) -> list[Fact]:
    figures = [Fact(name, _figure(before, key, unit), _figure(after, key, unit)) for name, key, unit in FIGURES]
    return [
        Fact("Amplifier", str(before.model or NOT_KNOWN), str(after.model or NOT_KNOWN)),
        *figures,
        Fact("Worst single fault", _worst(before), _worst(after)),
        Fact("Single faults that silence the whole line", _fatal(before), _fatal(after)),
    ]


def _figure(state: State, key: str, unit: str) -> str:
    return shown(getattr(state.load, key), unit, "metric") if state.load else "no load"


def _worst(state: State) -> str:
    return state.worst_fault.says if state.worst_fault else "without a loudspeaker nothing can fail"


def _fatal(state: State) -> str:
    return f"{state.fatal_faults} of {len(state.faults)}"


def _row(row: CoilChange) -> Row:
    whole = row.before is not None and row.after is not None
    nothing = NOT_KNOWN if whole else "–"
    difference = nothing if row.difference_db is None else _signed(round(row.difference_db, 1))
    return Row(row.name, row.before, row.after, row.too_much, difference)


def _loudest(rows: list[CoilChange]) -> str:
    """Return the span of the differences in one phrase."""
    known = [round(row.difference_db, 1) for row in rows if row.difference_db is not None]
    if not known:
        return "no loudspeaker can be compared"
    low, high = min(known), max(known)
    if low == high:
        return (
            "every loudspeaker plays as loud as before" if low == 0 else f"every loudspeaker changes by {_signed(low)}"
        )
    return f"loudspeakers change by {_signed(low)} to {_signed(high)}"


def _signed(change_db: float) -> str:
    return f"{change_db:+.1f} dB".replace("-", "−") if change_db else "0 dB"
