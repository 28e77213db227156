"""Changes of equipment that change what lines carry: the equipment's own action, then the verdicts."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line
from registry.equipment import editing
from registry.equipment.models import Item, MakeModel, Place
from sites.models import Site, User

Values = Mapping[str, Any]


@transaction.atomic
def save_item(
    *,
    by: User,
    site: Site,
    item: Item | None,
    values: Values,
    place: Place | None,
    since: date | None,
    version: str | None = None,
) -> Item:
    """Record an item or change it, and judge the lines of the places it fills or filled."""
    made = editing.save_item(by=by, site=site, item=item, values=values, place=place, since=since, version=version)
    refresh_verdicts(Line.objects.filter(amplifier__in=Place.objects.filter(placements__item=made)))
    return made


@transaction.atomic
def save_model(
    *,
    by: User,
    model: MakeModel | None,
    values: Values,
    ratings: Sequence[Values] = (),
    loudspeaker: Values | None = None,
    version: str | None = None,
) -> MakeModel:
    """Record a catalogue entry or change it, and judge the lines with its amplifiers or loudspeakers."""
    made = editing.save_model(
        by=by, model=model, values=values, ratings=ratings, loudspeaker=loudspeaker, version=version
    )
    drives = Q(amplifier__placements__item__make_model=made, amplifier__placements__current=True)
    hangs = Q(coils__loudspeaker__make_model=made)
    refresh_verdicts(Line.objects.filter(pk__in=Line.objects.filter(drives | hangs).values("pk")))
    return made
