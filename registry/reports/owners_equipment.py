"""The equipment of an owner's report: items in use, and loudspeakers by model and zone."""

from collections.abc import Sequence
from datetime import date
from typing import Any, Final, NamedTuple

from django.db.models import Count, Min, Q

from registry.audio.models import Loudspeaker
from registry.engineering.useful_life import NETWORK_AMPLIFIER, useful_life
from registry.equipment.models import Item, Kind, MakeModel, Placement, Status
from registry.reports.owners_figures import Equipment
from registry.reports.plain_words import without_addresses
from sites.models import Site

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


class Filled(NamedTuple):
    """Where an item is."""

    place: str
    rack: str


def equipment_of(sites: Sequence[Site]) -> list[Equipment]:
    """Return the items in use at these sites, those that are expected to end first on top. Three queries."""
    pks = [site.pk for site in sites]
    names = {site.pk: site.name for site in sites}
    models = _models(pks)
    placed = _placed(pks)
    items = Item.objects.filter(site__in=pks, status__in=IN_USE).annotate(first=Min("placements__installed_on"))
    rows = items.values_list("pk", "site_id", "tag", "mac", "warranty_until", "make_model_id", "first").order_by("tag")
    found = []
    for pk, site, tag, mac, warranty, model, first in rows.iterator():
        at = placed.get(pk, Filled("", ""))
        about = _of_model(models[model], networked=bool(mac))
        known = {"tag": tag, "installed_on": first, "warranty_until": warranty}
        found.append(Equipment(site=names[site], place=at.place, rack=at.rack, **known, **about))
    return sorted(found, key=lambda each: (each.expected_end or date.max, each.site, each.place, each.tag))


def _of_model(model: MakeModel, *, networked: bool = False) -> dict[str, Any]:
    kind = NETWORK_AMPLIFIER if networked and model.kind == Kind.AMPLIFIER else model.kind
    return {
        "what": str(model),
        "kind": KINDS.get(Kind(model.kind), kind),
        "price": model.price,
        "currency": model.currency,
        "support_until": model.support_until,
        "life": useful_life(kind, own_years=model.life_years),
    }


def _models(sites: Sequence[int]) -> dict[int, MakeModel]:
    wanted = Item.objects.filter(site__in=sites).values("make_model")
    speakers = Loudspeaker.objects.filter(site__in=sites).values("make_model")
    found = MakeModel.objects.filter(Q(pk__in=wanted) | Q(pk__in=speakers)).select_related("make")
    return {model.pk: model for model in found}


def _placed(sites: Sequence[int]) -> dict[int, Filled]:
    rows = Placement.objects.filter(item__site__in=sites, current=True)
    names = rows.values_list("item_id", "place__name", "place__rack__name").order_by()
    return {
        item: Filled(without_addresses(place), without_addresses(rack or "")) for item, place, rack in names.iterator()
    }


def loudspeakers_of(sites: Sequence[Site]) -> list[Equipment]:
    """Return the loudspeakers by zone and model; no day of installation is kept of them. Two queries."""
    pks = [site.pk for site in sites]
    names = {site.pk: site.name for site in sites}
    models = _models(pks)
    rows = Loudspeaker.objects.filter(site__in=pks).values_list("site_id", "zone__name", "make_model_id")
    counted = rows.annotate(number=Count("pk")).order_by("site__name", "zone__name", "make_model_id")
    return [_loudspeakers(models.get(model or 0), names[site], zone, number) for site, zone, model, number in counted]


def _loudspeakers(model: MakeModel | None, site: str, zone: str, count: int) -> Equipment:
    about = _of_model(model) if model else NO_MODEL
    place: dict[str, Any] = {"site": site, "place": without_addresses(zone), "rack": "", "tag": ""}
    return Equipment(**place, installed_on=None, warranty_until=None, count=count, **about)


def spares_of(sites: Sequence[Site]) -> int:
    """Return how many items lie ready: they are in nobody's way and in no plan. One query."""
    return Item.objects.filter(site__in=[site.pk for site in sites], status=Status.SPARE).count()
