"""Who made a network card, from the list that the IEEE publishes: a first guess at what an unknown host is."""

from functools import lru_cache

from netaddr import EUI
from netaddr.core import NotRegisteredError

from sites.addresses import is_locally_administered

# RFC 7042, section 2.1.2: addresses for examples; the list would name the registry itself as their maker.
EXAMPLES = "00:00:5e:00:53:"


@lru_cache(maxsize=4096)
def card_maker(mac: str) -> str:
    """Return what a MAC address says of its card, in words.

    >>> card_maker("02:00:5e:10:00:01"), card_maker("00:00:5e:00:53:07")
    ('address chosen by software, so no maker', 'address for examples')
    """
    if is_locally_administered(mac):
        return "address chosen by software, so no maker"
    if mac.startswith(EXAMPLES):
        return "address for examples"
    try:
        return f"network card by {EUI(mac).oui.registration().org}"
    except NotRegisteredError:
        return "maker not in the list"
