"""What there is at a site for tasks to be about, read once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from registry.audio.models import Line, Zone
from registry.equipment.models import Kind, Place, Placement, Status
from registry.visits.models import TaskKind
from registry.visits.task_list import ALWAYS, TASKS, About
from sites.models import Rack, Site, YesNoUnknown

NOT_NETWORKED = (Kind.LOUDSPEAKER, Kind.UPS)


@dataclass(frozen=True, slots=True)
class Subjects:
    """The things of a site, by what a task may be about; each as the column of VisitTask that names it."""

    things: Mapping[About, Sequence[Mapping[str, Any]]]
    has_life_safety: bool

    def of(self, kind: TaskKind) -> Sequence[Mapping[str, Any]]:
        """Return what a task of this kind asks about, one entry for each line of the checklist."""
        return self.things[TASKS[kind].about]


def subjects_of(site: Site) -> Subjects:
    """Return what tasks can be about at a site. Four queries.

    Lines that are or may be life-safety related are left out, and with them every line of an amplifier that drives
    one: it would have to be switched off.
    """
    lines = list(Line.objects.filter(site=site).order_by("name"))
    guarded = {line.amplifier_id for line in lines if not line.may_change}
    filled = _filled(site)
    racks = list(Rack.objects.filter(site=site))
    with_ups = {place.rack_id for place, kind in filled if kind == Kind.UPS}
    powered = [place for place, kind in filled if kind in {Kind.AMPLIFIER, Kind.ENDPOINT}]
    networked = [place for place, kind in filled if place.ip and kind not in NOT_NETWORKED]
    things: dict[About, list[dict[str, Any]]] = {
        About.SITE: [{}],
        About.ZONE: [{"zone": zone} for zone in Zone.objects.filter(site=site).order_by("name")],
        About.LINE: [{"line": line} for line in lines if line.amplifier_id not in guarded],
        About.RACK: [{"rack": rack} for rack in racks],
        About.UPS: [{"rack": rack} for rack in racks if rack.pk in with_ups or rack.ups_va],
        About.AMPLIFIER: [{"place": place} for place in powered],
        About.NETWORKED: [{"place": place} for place in networked],
    }
    return Subjects(things, has_life_safety=bool(guarded) or site.voice_alarm != YesNoUnknown.NO)


def _filled(site: Site) -> list[tuple[Place, str]]:
    in_service = Q(item__status=Status.IN_SERVICE) | Q(item__status=Status.FAULTY)
    rows = Placement.objects.filter(in_service, place__site=site, current=True).order_by("place__name")
    return [(row.place, row.item.make_model.kind) for row in rows.select_related("place", "item__make_model")]


def proposed_tasks(found: Subjects) -> dict[TaskKind, int]:
    """Return the tasks that make sense for what is there, in working order, each with its usual interval in months.

    The mute contact only where life safety is, or may be, near.
    """
    wanted = {kind for kind in TASKS if kind in ALWAYS or (TASKS[kind].about != About.SITE and found.of(kind))}
    if found.has_life_safety:
        wanted.add(TaskKind.MUTE_CONTACT)
    return {kind: task.months for kind, task in TASKS.items() if kind in wanted}
