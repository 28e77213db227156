"""What a rack's page shows."""

from typing import Any

from registry.drawings.rack_front import draw_rack_front
from registry.engineering.rack import RackLoad
from registry.equipment.models import Face, Place
from registry.equipment.queries import item_in, places_visible_to, with_items
from registry.equipment.racks import by_rack, front_of, load_of, takes_no_unit
from registry.web.sites.site_page import place_page
from sites.models import Rack, User

CHECKS = {"units": "Units", "weight": "Weight", "current": "Current", "ups": "UPS"}


def rack_page(user: User, rack: Rack) -> dict[str, Any]:
    """Return the context of a rack's page. One query."""
    mounted = by_rack(with_items(places_visible_to(user).filter(rack=rack)))[rack.pk]
    load = load_of(rack, mounted)
    places = sorted(mounted, key=lambda place: (-(place.position_u or 0), place.name))
    return {
        "load": load,
        "checks": [(CHECKS[check.code], check) for check in load.checks],
        "beside": [place.name for place in places if takes_no_unit(place)],
        "drawings": [draw_rack_front(front_of(rack, mounted, href=place_page, face=face)) for face in _faces(places)],
        "mounted": [(place, item_in(place)) for place in places],
        "says": rack_sentence(rack, load),
        "figures": figures(load),
    }


def _faces(places: list[Place]) -> list[Face]:
    rear = any(place.face == Face.REAR for place in places)
    return [Face.FRONT, Face.REAR] if rear else [Face.FRONT]


def rack_sentence(rack: Rack, load: RackLoad) -> str:
    """Return the answer of the page: how full it is, and what is wrong with it first."""
    free = "It is not known how many" if load.free_u is None else str(load.free_u)
    failing = [check.says for check in load.checks if check.verdict == "fail"]
    return " ".join([f"{free} of {rack.height_u} units are free.", *failing])


def figures(load: RackLoad) -> list[tuple[str, float | None, str, str]]:
    """Return each sum with its unit and, where it lacks some items, what it lacks."""
    rows = (
        ("Weight", load.weight_kg, "kg", "weight_kg"),
        ("Power when idle", load.idle_w, "W", "idle_w"),
        ("Greatest power", load.max_w, "W", "max_w"),
        ("Current at greatest power", load.current_a, "A", "max_w"),
        ("80 % of the circuit", load.circuit_limit_a, "A", ""),
        ("Battery time by energy balance", load.ups_minutes, "min", "max_w"),
    )
    return [(words, value, unit, _lacks(load.unknown.get(key, ()))) for words, value, unit, key in rows]


def _lacks(labels: tuple[str, ...]) -> str:
    return f"not counted: {', '.join(labels)}" if labels else ""
