"""Writes of zones, lines, loudspeakers and their coils. Verdicts of what was touched are computed at the end."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from django.db import transaction
from django.db.models import CharField, Value
from django.db.models.functions import Cast, Concat

from registry.audio.models import Coil, Line, Loudspeaker, Zone
from sites.actions import site_ids
from sites.put import Batch, Key, Problem, RefusedError, put

Rows = Mapping[Key, Mapping[str, Any]]


@transaction.atomic
def put_zones(batch: Batch, rows: Rows) -> dict[Key, Zone]:
    """Create or update zones by (site id, name)."""
    known = Zone.objects.filter(site_id__in=site_ids(rows))
    return put(batch, Zone, rows, {(zone.site_id, zone.name): zone for zone in known})


@transaction.atomic
def put_lines(batch: Batch, rows: Rows) -> dict[Key, Line]:
    """Create or update lines by (site id, name); a channel carries one line."""
    existing = {(line.site_id, line.name): line for line in Line.objects.filter(site_id__in=site_ids(rows))}
    _refuse_shared_channels(rows, existing)
    moving = [
        line.pk
        for key, line in existing.items()
        if key in rows and (line.amplifier_id, line.channel) != (rows[key]["amplifier_id"], rows[key]["channel"])
    ]
    # Two lines that swap channels would collide on the way: the moving ones step aside first, to no channel's name.
    Line.objects.filter(pk__in=moving).update(channel=Concat(Value("moving "), Cast("id", CharField())))
    return put(batch, Line, rows, existing)


def _refuse_shared_channels(rows: Rows, existing: Mapping[Key, Line]) -> None:
    taken: dict[tuple[int, str], Key] = {
        (line.amplifier_id, line.channel): key for key, line in existing.items() if key not in rows
    }
    problems = []
    for key, values in rows.items():
        other = taken.setdefault((values["amplifier_id"], values["channel"]), key)
        if other != key:
            says = (
                f"channel {values['channel']} of this amplifier already carries line {other[1]}; one channel, one line"
            )
            problems.append(Problem("line", key, "channel", says))
    if problems:
        raise RefusedError(problems)


@transaction.atomic
def put_loudspeakers(batch: Batch, rows: Rows) -> dict[Key, Loudspeaker]:
    """Create or update loudspeakers by (site id, label)."""
    known = Loudspeaker.objects.filter(site_id__in=site_ids(rows))
    return put(batch, Loudspeaker, rows, {(unit.site_id, unit.label): unit for unit in known})


@transaction.atomic
def connect_coils(batch: Batch, rows: Rows) -> dict[Key, Coil]:
    """Connect coils by (loudspeaker id, coil); verdicts of the lines they are on, or were on, follow."""
    known = Coil.objects.filter(loudspeaker_id__in={key[0] for key in rows}).select_related("loudspeaker")
    existing = {(coil.loudspeaker_id, coil.coil): coil for coil in known}
    touched = {coil.line_id for coil in existing.values()} | {row["line_id"] for row in rows.values()}
    written = put(batch, Coil, rows, existing)
    _refuse_more_coils_than_there_are({key[0] for key in rows})
    _refuse_shared_positions(touched, rows.keys())
    return written


def _refuse_more_coils_than_there_are(loudspeaker_ids: Iterable[int]) -> None:
    connected = Coil.objects.filter(
        loudspeaker_id__in=list(loudspeaker_ids), loudspeaker__make_model__loudspeaker__coils__isnull=False
    )
    columns = ("loudspeaker_id", "coil", "loudspeaker__label", "loudspeaker__make_model__loudspeaker__coils")
    count: dict[int, int] = {}
    problems = []
    for loudspeaker, coil, label, allowed in connected.order_by("pk").values_list(*columns):
        count[loudspeaker] = count.get(loudspeaker, 0) + 1
        if count[loudspeaker] > allowed or (coil.isdecimal() and not 1 <= int(coil) <= allowed):
            says = f"{label} has {allowed} coil{'s' if allowed > 1 else ''}, numbered from 1: {coil} is not one of them"
            problems.append(Problem("coil", (loudspeaker, coil), "coil", says))
    if problems:
        raise RefusedError(problems)


def _refuse_shared_positions(line_ids: Iterable[int], moved: Collection[Key]) -> None:
    """Blame the coil that came to a position, not the one that was there."""
    columns = ("line_id", "string", "order", "loudspeaker_id", "coil", "loudspeaker__label")
    seen: dict[tuple[int, str, int], str] = {}
    problems = []
    rows = Coil.objects.filter(line_id__in=list(line_ids)).order_by("pk").values_list(*columns)
    for line, string, order, unit, coil, label in sorted(rows, key=lambda row: (row[3], row[4]) in moved):
        if (line, string, order) in seen:
            says = f"position {order} of string {string} is already taken by {seen[(line, string, order)]}"
            problems.append(Problem("coil", (unit, coil), "order", says))
        seen.setdefault((line, string, order), label)
    if problems:
        raise RefusedError(problems)
