"""The equipment of an owner's report: items in use, and loudspeakers by model and zone."""

from datetime import date
from typing import Any, Final

from registry.engineering.useful_life import NETWORK_AMPLIFIER, useful_life
from registry.equipment.models import Kind, Status
from registry.reports.owners_figures import Equipment
from registry.reports.owners_rows import OwnersRows, Thing
from registry.reports.plain_words import without_addresses

# Plain words beside those of the trade.
KINDS: Final = {
    Kind.ENDPOINT: "music streamer (endpoint)",
    Kind.SOURCE: "source, such as a player",
    Kind.SWITCH: "network switch",
    Kind.UPS: "backup battery (UPS)",
}
IN_USE: Final = (Status.IN_SERVICE, Status.FAULTY)
NO_MODEL: Final = {
    "what": "model not known",
    "kind": Kind.LOUDSPEAKER.value,
    "price": None,
    "currency": "",
    "support_until": None,
    "life": useful_life(Kind.LOUDSPEAKER),
}


def equipment_of(rows: OwnersRows) -> list[Equipment]:
    """Return the items in use at these sites, those that are expected to end first on top."""
    found = [_equipment(each, rows) for each in rows.things if each.status in IN_USE]
    return sorted(found, key=lambda each: (each.expected_end or date.max, each.site, each.place, each.tag))


def loudspeakers_of(rows: OwnersRows) -> list[Equipment]:
    """Return the loudspeakers by zone and model; no day of installation is kept of them."""
    found = [each for each in rows.things if each.item_id is None]
    found.sort(key=lambda each: (rows.sites[each.site_id].name, each.place, each.model_id or 0))
    return [_equipment(each, rows) for each in found]


def spares_of(rows: OwnersRows) -> int:
    """Return how many items lie ready: they are in nobody's way and in no plan."""
    return sum(each.status == Status.SPARE for each in rows.things)


def _equipment(thing: Thing, rows: OwnersRows) -> Equipment:
    return Equipment(
        site=rows.sites[thing.site_id].name,
        place=without_addresses(thing.place or ""),
        rack=without_addresses(thing.rack or ""),
        tag=thing.tag,
        installed_on=thing.installed_on,
        warranty_until=thing.warranty_until,
        count=thing.pieces,
        **(_of_model(thing) if thing.model_id else NO_MODEL),
    )


def _of_model(thing: Thing) -> dict[str, Any]:
    assert thing.kind is not None
    kind = NETWORK_AMPLIFIER if thing.mac and thing.kind == Kind.AMPLIFIER else thing.kind
    return {
        "what": thing.what,
        "kind": KINDS.get(Kind(thing.kind), kind),
        "price": thing.price,
        "currency": thing.currency,
        "support_until": thing.support_until,
        "life": useful_life(kind, own_years=thing.life_years),
    }
