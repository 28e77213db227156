"""What the pages of a sweep show: the answer in one sentence, and every host and item in its group."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from registry.equipment.address_checks import addresses_twice
from registry.equipment.card_makers import card_maker
from registry.equipment.models import Item
from registry.equipment.site_network import SiteNetwork
from registry.equipment.sweep_matching import Seen, SweepMatch
from registry.equipment.sweep_queries import items_elsewhere, newest_hosts, sweep_against_register
from registry.web.sites.sentences import number_of
from sites.models import Site, User

MOST_SHOWN = 200


class UnknownHost(NamedTuple):
    """A host whose MAC address no item of the site has: who made its card, and the item of another site that has it."""

    host: Seen
    maker: str
    elsewhere: Item | None


def match_context(network: SiteNetwork, hosts: Iterable[Seen]) -> dict[str, Any]:
    """Return what a sweep says against the register now."""
    match = sweep_against_register(network, hosts)
    return {"match": match, "sentence": sweep_sentence(match)}


def unknown_hosts(user: User, site: Site, match: SweepMatch) -> list[UnknownHost]:
    """Return the hosts that no item of the site is. One query."""
    shown = match.unknown[:MOST_SHOWN]
    elsewhere = items_elsewhere(user, site, [host.mac for host in shown])
    return [UnknownHost(host, card_maker(host.mac), elsewhere.get(host.mac)) for host in shown]


def sweep_sentence(match: SweepMatch) -> str:
    """Return what a sweep says, in a sentence."""
    said = [
        (len(match.as_recorded), "seen where the register says"),
        (len(match.elsewhere), "seen at another address"),
    ]
    parts = [f"{number_of(count, 'item')} {words}" for count, words in said if count]
    if match.unknown:
        parts.append(f"{number_of(len(match.unknown), 'host')} not in the register")
    if match.missing:
        parts.append(f"{number_of(len(match.missing), 'item')} missing")
    if match.same_ip:
        count = len(match.same_ip)
        parts.append(f"{count} address{'' if count == 1 else 'es'} in use twice")
    return f"{', '.join(parts)}." if parts else "Nothing was seen that can be matched."


def newest_sweep(user: User, site: Site, network: SiteNetwork) -> dict[str, Any]:
    """Return the newest sweep of a site with what it says, and the addresses that are recorded twice. One query."""
    hosts, twice = newest_hosts(user, site), addresses_twice(network)
    return {"sweep": hosts[0].sweep, "twice": twice, **match_context(network, hosts)} if hosts else {"twice": twice}
