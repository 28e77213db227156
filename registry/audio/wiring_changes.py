"""What a proposed wiring changes in the register, in sentences that a person can check before accepting."""

from collections.abc import Iterator
from typing import Literal

from registry.audio.models import Coil, Line
from registry.audio.schematics import size_shown
from registry.audio.what_if import Newcomer, Proposal, Seat, seat_of
from registry.engineering.units import show_quantity

NOT_KNOWN = "not known"


def changes_said(line: Line, proposal: Proposal) -> list[str]:
    """Return one sentence for every coil that moves, leaves or joins; the line came through `with_wiring`."""
    units: Literal["metric", "us"] = "us" if line.site.units == "us" else "metric"
    return list(_sentences(line, proposal, units))


def _sentences(line: Line, proposal: Proposal, units: Literal["metric", "us"]) -> Iterator[str]:
    for coil in line.coils.all():
        now, then = seat_of(coil), proposal.seats.get(coil.pk)
        if coil.pk in proposal.left_out:
            yield f"{_named(coil)} leaves the line: its coil is disconnected, the loudspeaker stays recorded."
        elif then is not None and then != now:
            parts = [
                f"{word} {before} becomes {after}"
                for (word, before), (_, after) in zip(_shown(now, units), _shown(then, units), strict=True)
                if before != after
            ]
            # Two lengths may differ by less than the figures show.
            yield f"{_named(coil)}: {', '.join(parts) or 'a figure changes by less than is shown'}."
    for newcomer in proposal.joining:
        yield _joins(newcomer, units)


def _named(coil: Coil) -> str:
    return str(coil.loudspeaker) if coil.coil == "1" else f"{coil.loudspeaker} coil {coil.coil}"


def _joins(newcomer: Newcomer, units: Literal["metric", "us"]) -> str:
    seat = ", ".join(f"{word} {value}" for word, value in _shown(newcomer.seat, units) if value != NOT_KNOWN)
    return f"{newcomer.label}, a new {newcomer.model} in zone {newcomer.zone}, joins: {seat}."


def _shown(seat: Seat, units: Literal["metric", "us"]) -> list[tuple[str, str]]:
    return [
        ("string", seat.string),
        ("order", str(seat.order)),
        ("tap", NOT_KNOWN if seat.tap_w is None else show_quantity(seat.tap_w, "W", units)),
        ("cable", size_shown(seat.cable) or NOT_KNOWN),
        ("length", NOT_KNOWN if seat.cable_m is None else show_quantity(seat.cable_m, "m", units)),
    ]
