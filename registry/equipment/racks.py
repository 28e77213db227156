"""Racks as engineering and the drawings see them: what is mounted where, what it weighs and what it draws."""

from collections.abc import Callable

from django.db.models import Prefetch, QuerySet

from registry.drawings.rack_front import RackFront
from registry.drawings.rack_front import RackItem as DrawnItem
from registry.engineering.rack import Rack as PlainRack
from registry.engineering.rack import RackItem, RackLoad, rack_load
from registry.equipment.models import Face, Item, Place, Placement
from sites.models import Rack


def with_mounted(racks: QuerySet[Rack]) -> QuerySet[Rack]:
    """Prefetch the places of racks, each with the item that fills it now."""
    filled = Placement.objects.filter(current=True).select_related("item__make_model__make")
    places = Place.objects.order_by("position_u", "name").prefetch_related(
        Prefetch("placements", filled, to_attr="filling")
    )
    return racks.prefetch_related(Prefetch("places", places))


def item_in(place: Place) -> Item | None:
    """Return what fills a place now; it came through `with_mounted`."""
    filling: list[Placement] = place.filling  # type: ignore[attr-defined]
    return filling[0].item if filling else None


def load_of(rack: Rack) -> RackLoad:
    """Return what a rack carries and draws; it came through `with_mounted`."""
    limits = ("max_load_kg", "circuit_v", "circuit_a", "ups_va", "ups_w", "ups_wh")
    plain = PlainRack(rack.height_u, **{name: getattr(rack, name) for name in limits})
    mounted = [(place, item_in(place)) for place in rack.places.all()]
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


def front_of(rack: Rack, *, href: Callable[[Place], str], face: Face = Face.FRONT) -> RackFront:
    """Return one face of a rack as it is drawn; `href` gives the address behind each place."""
    title = f"{rack.name}, {Face(face).label.lower()}"
    mounted = [place for place in rack.places.all() if place.face == face and not takes_no_unit(place)]
    drawn = [_drawn(place, item, href(place)) for place in mounted if (item := item_in(place))]
    return RackFront(title, rack.height_u, tuple(drawn))


def _drawn(place: Place, item: Item, href: str) -> DrawnItem:
    model = item.make_model
    return DrawnItem(place.name, str(model), item.tag, place.position_u, model.rack_units or None, href)
