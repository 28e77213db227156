"""Writing a proposed wiring of a line into the register: exactly what was shown, all of it or nothing."""

import hashlib
from collections.abc import Iterable
from dataclasses import asdict

from django.db import transaction

from registry.audio.actions import connect_coils
from registry.audio.adding import add_loudspeaker
from registry.audio.editing import refuse_life_safety
from registry.audio.loads import refresh_verdicts
from registry.audio.models import Coil, Line
from registry.audio.what_if import Newcomer, Proposal, seat_of
from sites.models import User
from sites.put import Batch, Key

CHANGED_MEANWHILE = "Somebody changed the wiring of this line meanwhile: look at the comparison again, then accept."


def wiring_mark(coils: Iterable[Coil]) -> str:
    """Return a word that tells one wiring of a line from another one."""
    seats = sorted((coil.pk, coil.loudspeaker_id, coil.coil, *asdict(seat_of(coil)).values()) for coil in coils)
    return hashlib.sha256(repr(seats).encode()).hexdigest()[:16]


@transaction.atomic
def accept_wiring(*, by: User, line: Line, proposal: Proposal, seen: str) -> Line:
    """Write a proposed wiring and judge the line again. The amplifier stays what its place holds.

    `seen` is the mark of the wiring that the proposal was made from. Raises ValueError when the line is or may be
    life-safety related, was rewired since, or a coil would come to a position that another one has.
    """
    line = Line.objects.select_for_update(of=("self",)).select_related("site").get(pk=line.pk)
    refuse_life_safety(line)
    hanging = Coil.objects.select_for_update(of=("self",)).filter(line=line).select_related("loudspeaker")
    coils = {coil.pk: coil for coil in hanging}
    if wiring_mark(coils.values()) != seen or not coils.keys() >= proposal.seats.keys() | proposal.left_out:
        raise ValueError(CHANGED_MEANWHILE)
    for pk in proposal.left_out:
        coils[pk]._history_user = by  # type: ignore[attr-defined]
        coils[pk].delete()
    rows: dict[Key, dict[str, object]] = {
        (coils[pk].loudspeaker_id, coils[pk].coil): {"line_id": line.pk, **asdict(seat)}
        for pk, seat in proposal.seats.items()
        if pk not in proposal.left_out
    }
    connect_coils(Batch(by=by, blank_clears=True), rows | _joining(by, line, proposal.joining))
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    line.refresh_from_db()
    return line


def _joining(by: User, line: Line, newcomers: Iterable[Newcomer]) -> dict[Key, dict[str, object]]:
    """Record the new loudspeakers and return the rows of their coils."""
    rows: dict[Key, dict[str, object]] = {}
    for each in newcomers:
        unit = add_loudspeaker(by=by, site=line.site, label=each.label, make_model=each.model, zone=each.zone)
        key: Key = (unit.pk, each.coil)
        rows[key] = {"loudspeaker_id": unit.pk, "coil": each.coil, "line_id": line.pk, **asdict(each.seat)}
    return rows
