"""Racks as engineering and the drawings see them: what is mounted where, what it weighs and what it draws."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence

from registry.drawings.rack_front import RackFront
from registry.drawings.rack_front import RackItem as DrawnItem
from registry.engineering.rack import Rack as PlainRack
from registry.engineering.rack import RackItem, RackLoad, rack_load
from registry.equipment.models import Face, Item, Place
from registry.equipment.queries import item_in
from sites.models import Rack


def by_rack(places: Iterable[Place]) -> Mapping[int | None, Sequence[Place]]:
    """Return places by the id of their rack, each rack's from below; first those whose unit is not known."""
    found: defaultdict[int | None, list[Place]] = defaultdict(list)
    for place in sorted(places, key=lambda place: (place.position_u or 0, place.name)):
        found[place.rack_id].append(place)
    return found


def load_of(rack: Rack, places: Iterable[Place]) -> RackLoad:
    """Return what a rack carries and draws; its places came through `with_items`."""
    limits = ("max_load_kg", "circuit_v", "circuit_a", "ups_va", "ups_w", "ups_wh")
    plain = PlainRack(rack.height_u, **{name: getattr(rack, name) for name in limits})
    mounted = [(place, item_in(place)) for place in places]
    return rack_load(rack=plain, items=[_plain(place, item) for place, item in mounted if item])


def _plain(place: Place, item: Item) -> RackItem:
    model = item.make_model
    return RackItem(
        place.name,
        model.rack_units,
        place.position_u,
        "rear" if place.face == Face.REAR else "front",
        weight_kg=model.weight_kg,
        idle_w=model.idle_w,
        max_w=model.max_w,
    )


def takes_no_unit(place: Place) -> bool:
    """Return whether what fills a place hangs beside the rails: its maker says 0 units."""
    item = item_in(place)
    return item is not None and item.make_model.rack_units == 0


def front_of(
    rack: Rack, places: Iterable[Place], *, href: Callable[[Place], str], face: Face = Face.FRONT
) -> RackFront:
    """Return one face of a rack as it is drawn; `href` gives the address behind each of its places."""
    title = f"{rack.name}, {Face(face).label.lower()}"
    mounted = [place for place in places if place.face == face and not takes_no_unit(place)]
    drawn = [_drawn(place, item, href(place)) for place in mounted if (item := item_in(place))]
    return RackFront(title, rack.height_u, tuple(drawn))


def _drawn(place: Place, item: Item, href: str) -> DrawnItem:
    model = item.make_model
    return DrawnItem(place.name, str(model), item.tag, place.position_u, model.rack_units or None, href)
