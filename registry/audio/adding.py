"""Writes of what is new on a site: a line on a free channel, a loudspeaker that hangs on a line from the start."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from registry.audio.actions import put_lines, put_loudspeakers
from registry.audio.editing import connect_coil, refuse_life_safety, say_life_safety
from registry.audio.loads import refresh_verdicts
from registry.audio.models import Coil, Line, Loudspeaker, Zone
from registry.equipment.models import Kind, MakeModel
from sites.editing import refuse_taken
from sites.models import Site, User, YesNoUnknown
from sites.put import Batch, Key, refuse

Values = Mapping[str, Any]


@transaction.atomic
def add_line(
    *,
    by: User,
    site: Site,
    values: Values,
    life_safety: YesNoUnknown = YesNoUnknown.UNKNOWN,
    source: str = "",
) -> Line:
    """Record a line on a channel that carries none. Unknown counts as yes until a manager says who says otherwise."""
    key: Key = (site.pk, values["name"])
    refuse_taken(Line.objects.filter(site=site), "line", "name", values["name"])
    if not site.places.filter(pk=values["amplifier_id"]).exists():
        raise refuse("line", key, "amplifier_id", "this place belongs to another site")
    made = put_lines(Batch(by=by), {key: {**values, "site_id": site.pk}})[key]
    if life_safety != YesNoUnknown.UNKNOWN:
        say_life_safety(by=by, line=made, value=life_safety, source=source)
    refresh_verdicts(Line.objects.filter(pk=made.pk))
    made.refresh_from_db()
    return made


@transaction.atomic
def add_loudspeaker(*, by: User, site: Site, label: str, make_model: MakeModel | None, zone: Zone) -> Loudspeaker:
    """Record a loudspeaker that is new on a site; its model may be unknown."""
    key: Key = (site.pk, label)
    refuse_taken(Loudspeaker.objects.filter(site=site), "loudspeaker", "label", label)
    if zone.site_id != site.pk:
        raise refuse("loudspeaker", key, "zone_id", f"zone {zone} belongs to another site")
    if make_model is not None and make_model.kind != Kind.LOUDSPEAKER:
        raise refuse("loudspeaker", key, "make_model_id", f"{make_model} is no loudspeaker")
    facts = {"site_id": site.pk, "label": label, "make_model_id": make_model and make_model.pk, "zone_id": zone.pk}
    return put_loudspeakers(Batch(by=by), {key: facts})[key]


@transaction.atomic
def connect_new_loudspeaker(*, by: User, line: Line, unit: Values, values: Values) -> Coil:
    """Record a loudspeaker (`unit`: label, make_model, zone) and connect a coil of it to a line."""
    refuse_life_safety(line)
    made = add_loudspeaker(by=by, site=line.site, **unit)
    return connect_coil(by=by, line=line, values={**values, "loudspeaker_id": made.pk})
