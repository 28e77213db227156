"""Lines that a new wiring has left empty: they give up their channel, and leave the register; their history stays."""

from collections.abc import Iterable

from django.db import transaction
from django.db.models import ProtectedError

from registry.audio.editing import refuse_life_safety
from registry.audio.models import Line
from sites.models import Site, User
from sites.put import refuse


@transaction.atomic
def give_up_channels(*, site: Site, names: Iterable[str]) -> None:
    """Let these lines step off their channels, so that others can take them before these are empty."""
    lines = Line.objects.filter(site=site, name__in=list(names))
    refuse_life_safety(*lines)
    for line in lines:
        # One that can't be retired keeps this name of a channel, so it says what it was; the id keeps it unique.
        Line.objects.filter(pk=line.pk).update(channel=f"was {line.channel[:8]} ({line.pk})"[:20])


@transaction.atomic
def retire_lines(*, by: User, site: Site, names: Iterable[str]) -> list[str]:
    """Delete lines on which nothing hangs any more, and return their names; one with a loudspeaker is refused.

    A line that something else refers to stays, empty.
    """
    retired = []
    for line in Line.objects.filter(site=site, name__in=list(names)):
        refuse_life_safety(line)
        if line.coils.exists():
            raise refuse("line", (site.pk, line.name), "line_id", f"line {line.name} still has a loudspeaker on it")
        line._history_user = by  # type: ignore[attr-defined]
        try:
            with transaction.atomic():
                line.delete()
        except ProtectedError:
            continue
        retired.append(line.name)
    return retired
