"""What the page of "what if" shows: the wiring as it is beside the one that is asked for."""

from typing import Any, NamedTuple

from registry.audio.models import Line
from registry.audio.rewiring import wiring_mark
from registry.audio.schematics import schematic_of
from registry.audio.what_if import (
    MOST_COILS,
    CoilChange,
    Proposal,
    State,
    as_it_is,
    as_proposed,
    coil_changes,
)
from registry.audio.wiring_changes import changes_said
from registry.drawings.schematic import draw_schematic
from registry.engineering.wording import figure
from registry.web.audio.what_if_asked import Asked

DESK_WIDTH = 540


class Side(NamedTuple):
    """One of the two wirings: drawn, solved and judged."""

    state: State
    drawing: str
    narrow: str
    worst: str
    fatal: str


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
        "rows": rows,
        "loudest": _loudest(rows),
        "changes": changes,
        "swapped": proposal.amplifier,
        "kept": as_proposed(line, _without_amplifier(proposal)) if swapped and changes else None,
    }


def _without_amplifier(proposal: Proposal) -> Proposal:
    return Proposal(proposal.seats, proposal.left_out, proposal.joining)


def _side(line: Line, state: State, ident: str) -> Side:
    drawn = schematic_of(line, state.load, judged=False, coils=state.coils)
    worst = state.worst_fault
    return Side(
        state,
        draw_schematic(drawn, width=DESK_WIDTH, ident=f"{ident}-wide"),
        draw_schematic(drawn, ident=f"{ident}-narrow"),
        worst.says if worst else "without a loudspeaker nothing can fail",
        f"{state.fatal_faults} of {len(state.faults)}" if state.faults else "none",
    )


def _loudest(rows: list[CoilChange]) -> str:
    """Return the span of the differences in one phrase."""
    known = [round(row.difference_db, 1) for row in rows if row.difference_db is not None]
    if not known:
        return "no loudspeaker can be compared"
    low, high = min(known), max(known)
    if low == high:
        return "every loudspeaker plays as loud as before" if low == 0 else f"every loudspeaker changes by {_signed(low)}"
    return f"loudspeakers change by {_signed(low)} to {_signed(high)}"


def _signed(change_db: float) -> str:
    sign = "+" if change_db > 0 else ""
    return f"{sign}{figure(change_db)} dB"
