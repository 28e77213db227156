"""Find clients, sites, items, places, zones and lines by what people have at hand: a tag, a label, an address."""

import ipaddress
import re
from collections.abc import Callable
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet
from django.urls import NoReverseMatch, reverse

from registry.audio.queries import lines_visible_to, loudspeakers_visible_to, zones_visible_to
from registry.equipment.queries import items_visible_to, places_visible_to
from registry.web.equipment.filters import item_page
from registry.web.sites.filters import client_page, site_page
from registry.web.sites.site_page import place_page
from sites.models import User
from sites.queries import clients_visible_to, sites_visible_to

LIMIT = 10
SEPARATORS = re.compile(r"[\s:.\-]")
HEX = re.compile(r"[0-9a-f]{4,12}")


class Hit(NamedTuple):
    """One thing that was found."""

    name: str
    href: str
    site: Any
    detail: str


class Kind(NamedTuple):
    """All that was found of one kind; `more` when there is more than is shown."""

    heading: str
    hits: list[Hit]
    more: bool


def found(user: User, words: str) -> list[Kind]:
    """Return what `user` may read and `words` fit, kinds without a hit left out. One query for each kind."""
    kinds = [
        _kind("Clients", clients_visible_to(user).filter(_any(words, "name", "contact")), _client),
        _kind("Sites", sites_visible_to(user).filter(_any(words, "name", "code", "address")), _site),
        _kind("Items", items_visible_to(user).filter(_item_words(words)), _item),
        _kind("Places", places_visible_to(user).filter(_place_words(words)), _place),
        _kind("Zones", zones_visible_to(user).filter(_any(words, "name", "spot")), _zone),
        _kind("Lines", lines_visible_to(user).filter(_any(words, "name")), _line),
        _kind("Loudspeakers", loudspeakers_visible_to(user).filter(_any(words, "label")), _loudspeaker),
    ]
    return [kind for kind in kinds if kind.hits]


def _kind(heading: str, rows: QuerySet[Any], as_hit: Callable[[Any], Hit]) -> Kind:
    first = list(rows[: LIMIT + 1])
    return Kind(heading, [as_hit(row) for row in first[:LIMIT]], len(first) > LIMIT)


def _any(words: str, *fields: str) -> Q:
    wanted = Q()
    for field in fields:
        wanted |= Q(**{f"{field}__icontains": words})
    return wanted


def _item_words(words: str) -> Q:
    wanted = _any(words, "tag", "serial", "make_model__name")
    if digits := mac_part(words):
        wanted |= Q(mac__contains=digits)
    return wanted


def mac_part(words: str) -> str:
    """Return what was typed as a MAC address, or the beginning or end of one, in the register's notation; else nothing.

    An odd number of digits can't be cut into pairs from both ends, so it is taken from the beginning.
    """
    digits = SEPARATORS.sub("", words).lower()
    if not HEX.fullmatch(digits):
        return ""
    return ":".join(digits[at : at + 2] for at in range(0, len(digits), 2))


def _place_words(words: str) -> Q:
    wanted = _any(words, "name", "hostname")
    if address := ip_address(words):
        return wanted | Q(ip=address)
    return wanted | Q(ip__istartswith=words) if re.fullmatch(r"[0-9a-fA-F:.]{3,39}", words) else wanted


def ip_address(words: str) -> str:
    """Return a whole IP address in the one spelling that the register keeps, or nothing."""
    try:
        return str(ipaddress.ip_address(words))
    except ValueError:
        return ""


def _client(client: Any) -> Hit:
    return Hit(client.name, client_page(client), None, client.contact)


def _site(site: Any) -> Hit:
    return Hit(site.name, site_page(site), None, f"{site.code}, {site.client}")


def _item(item: Any) -> Hit:
    detail = [str(item.make_model), item.serial and f"serial {item.serial}", item.mac]
    return Hit(item.tag, item_page(item), item.site, ", ".join(part for part in detail if part))


def _place(place: Any) -> Hit:
    return Hit(
        place.name, place_page(place), place.site, ", ".join(part for part in (place.ip, place.hostname) if part)
    )


def _zone(zone: Any) -> Hit:
    return Hit(zone.name, _page("zone", zone.pk), zone.site, zone.spot)


def _line(line: Any) -> Hit:
    return Hit(line.name, _page("line", line.pk), line.site, f"{line.amplifier}, channel {line.channel}")


def _loudspeaker(unit: Any) -> Hit:
    return Hit(unit.label, _page("zone", unit.zone_id), unit.site, f"zone {unit.zone}")


def _page(name: str, pk: int) -> str:
    try:
        return reverse(name, args=[pk])
    except NoReverseMatch:
        return ""
