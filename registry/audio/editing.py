"""Writes of one line or coil from a form. A line that is not known to be free of life safety is left as it is."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from registry.audio.actions import connect_coils, put_lines
from registry.audio.loads import refresh_verdicts
from registry.audio.models import Coil, Line, Loudspeaker
from registry.equipment.models import Place
from sites.editing import refuse_other_site, refuse_taken
from sites.models import Role, User, YesNoUnknown
from sites.put import Batch, Key, refuse
from sites.versions import check_version

Values = Mapping[str, Any]
REWIRED = ("line_id", "string", "order", "tap_w", "plus", "minus", "cable", "cable_m")


def refuse_life_safety(*lines: Line) -> None:
    """Refuse to change lines that may be life-safety related by hand. A survey may still record what is there."""
    for line in lines:
        if not line.may_change:
            says = f"line {line.name} is or may be life-safety related: nothing on it is changed here"
            raise refuse("line", (line.site_id, line.name), "line_id", says)


@transaction.atomic
def save_line(*, by: User, line: Line, values: Values, version: str | None = None) -> Line:
    """Change a line's name, channel or kind; it stays in its site. Its verdict follows."""
    check_version(line, version, values)
    refuse_life_safety(line)
    refuse_taken(Line.objects.filter(site=line.site_id).exclude(pk=line.pk), "line", "name", values["name"])
    refuse_other_site("line", "amplifier_id", Place.objects.get(pk=values["amplifier_id"]), line.site_id)
    key: Key = (line.site_id, line.name)
    written = put_lines(Batch(by=by, blank_clears=True), {key: values})[key]
    refresh_verdicts(Line.objects.filter(pk=written.pk))
    return written


@transaction.atomic
def say_life_safety(*, by: User, line: Line, value: YesNoUnknown, source: str, version: str | None = None) -> Line:
    """Record whether a line is life-safety related, and who says so; the history keeps both.

    Raises ValueError when somebody else than a manager does it, or nobody is named who says so.
    """
    key: Key = (line.site_id, line.name)
    if by.role != Role.MANAGER:
        raise refuse("line", key, "life_safety", "only a manager records whether a line is life-safety related")
    if not source.strip():
        raise refuse("line", key, "source", "name the person or paper that says so")
    check_version(line, version, {"life_safety": value})
    line.life_safety = value
    line._history_user = by  # type: ignore[attr-defined]
    line._change_reason = source.strip()[:100]  # type: ignore[attr-defined]
    line.save(update_fields=["life_safety"])
    return line


@transaction.atomic
def connect_coil(*, by: User, line: Line, values: Values) -> Coil:
    """Connect one more coil to a line."""
    refuse_life_safety(line)
    refuse_other_site("coil", "loudspeaker_id", Loudspeaker.objects.get(pk=values["loudspeaker_id"]), line.site_id)
    key: Key = (values["loudspeaker_id"], values["coil"])
    on = Coil.objects.filter(loudspeaker=key[0], coil=key[1]).select_related("line").first()
    if on is not None:
        raise refuse("coil", key, "coil", f"coil {key[1]} is already connected to line {on.line}")
    written = connect_coils(Batch(by=by), {key: {**values, "line_id": line.pk}})[key]
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    return written


@transaction.atomic
def rewire_coil(*, by: User, coil: Coil, values: Values, version: str | None = None) -> Coil:
    """Change one coil: its line, string, order, tap, cable or colours."""
    check_version(coil, version, values)
    refuse_life_safety(*Line.objects.filter(pk__in={coil.line_id, values["line_id"]}))
    refuse_other_site("coil", "line_id", Line.objects.get(pk=values["line_id"]), coil.line.site_id)
    before = coil.line_id
    key: Key = (coil.loudspeaker_id, coil.coil)
    written = connect_coils(Batch(by=by, blank_clears=True), {key: values})[key]
    refresh_verdicts(Line.objects.filter(pk__in={before, written.line_id}))
    return written


@transaction.atomic
def disconnect_coil(*, by: User, coil: Coil, version: str | None = None) -> Line:
    """Take a coil off its line and return the line; the coil's history keeps what it was.

    Raises ChangedMeanwhileError when somebody rewired it since `version`: then it may hang elsewhere now.
    """
    check_version(coil, version, dict.fromkeys(REWIRED))
    line = coil.line
    refuse_life_safety(line)
    coil._history_user = by  # type: ignore[attr-defined]
    coil.delete()
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    return line
