"""MAC and IP addresses as people and scanners write them, kept in one spelling."""

import ipaddress
import re

_SEPARATORS = re.compile(r"[\s:.\-]")
_DIGITS = re.compile(r"[0-9a-f]{12}")
LOCALLY_ADMINISTERED, GROUP = 0b10, 0b01  # the two lowest bits of the first octet, IEEE Std 802


def mac_address(text: str) -> str:
    """Read six pairs of hex digits in any of the usual notations; return them in lower case with colons.

    >>> mac_address("00-00-5E-00-53-07"), mac_address("0000.5e00.5307")
    ('00:00:5e:00:53:07', '00:00:5e:00:53:07')
    """
    digits = _SEPARATORS.sub("", text).lower()
    if not _DIGITS.fullmatch(digits):
        raise ValueError("six pairs of hex digits, for example 02:00:5e:10:00:01")
    return ":".join(digits[place : place + 2] for place in range(0, 12, 2))


def host_mac_address(text: str) -> str:
    """Read the MAC address of one network card: neither all zeros nor that of a group or of everybody.

    >>> host_mac_address("01:00:5e:00:00:01")
    Traceback (most recent call last):
    ValueError: the address of one network card; this one stands for a group
    """
    mac = mac_address(text)
    if mac == "00:00:00:00:00:00":
        raise ValueError("the address of a network card; leave the cell empty if it isn't known")
    if _first_octet(mac) & GROUP:
        raise ValueError("the address of one network card; this one stands for a group")
    return mac


def is_locally_administered(mac: str) -> bool:
    """Return whether software chose this address (phones make one up for every network): it names no maker.

    >>> is_locally_administered("02:00:5e:10:00:01"), is_locally_administered("00:00:5e:00:53:07")
    (True, False)
    """
    return bool(_first_octet(mac) & LOCALLY_ADMINISTERED)


def _first_octet(mac: str) -> int:
    return int(mac[:2], 16)


def host_ip_address(text: str) -> str:
    """Read the IP address of one host and return it in its one spelling.

    >>> host_ip_address("2001:DB8::0A")
    '2001:db8::a'
    """
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        raise ValueError("an IP address such as 192.0.2.14") from None
    if address.is_unspecified or address.is_loopback or address.is_multicast or str(address) == "255.255.255.255":
        raise ValueError("the IP address of one host in the network")
    if isinstance(address, ipaddress.IPv6Address) and address.scope_id:
        raise ValueError("an IP address without the name of an interface behind it")
    return str(address)
