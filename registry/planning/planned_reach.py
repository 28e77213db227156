"""Source reach as it will be: the site's units with those of a design in place, set as the design says."""

from dataclasses import replace

from registry.planning.design import Box, Design
from registry.planning.reach import FedZone, Reach, Unit, reach
from registry.planning.surroundings import Surroundings


def planned_reach(design: Design, around: Surroundings) -> Reach:
    """Return whether a design's zones hear their source, and which controls move any of them, once it is wired."""
    set_up = {box.seat.place: _unit(box, around) for box in design.boxes}
    units = [unit for unit in around.units if unit.name not in set_up]
    found = reach(_zones(design, around), [*units, *set_up.values()])
    planned = {zone for box in design.boxes for zone in box.zones}
    return replace(
        found,
        zones=tuple(zone for zone in found.zones if zone.zone in planned),
        controls=tuple(control for control in found.controls if planned & set(control.zones)),
    )


def _unit(box: Box, around: Surroundings) -> Unit:
    """The unit of a box: what is set on it already, where it stands, with what the design sets."""
    there = next((dict(unit.settings) for unit in around.units if unit.name == box.seat.place), {})
    planned = {"group": box.group, "source": box.source, "input": "network"}
    return Unit(box.seat.place, there | {key: value for key, value in planned.items() if value})


def _zones(design: Design, around: Surroundings) -> list[FedZone]:
    driving = {zone: box for box in design.boxes for zone in box.zones}
    return [
        FedZone(zone.name, driving[zone.name].source, (driving[zone.name].seat.place,))
        if zone.name in driving
        else zone
        for zone in around.zones
    ]
