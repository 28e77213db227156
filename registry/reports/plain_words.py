"""Words for an owner: no network addresses, no account names."""

import ipaddress
import re
from collections.abc import Iterable
from typing import Final

from sites.models import User

LEFT_OUT: Final = "[address left out]"
_CANDIDATE = re.compile(r"[0-9A-Fa-f:.\-]*[0-9A-Fa-f](?:/\d{1,3})?")
_MAC = re.compile(r"(?:[0-9A-Fa-f]{2}[:\-]){5}[0-9A-Fa-f]{2}|(?:[0-9A-Fa-f]{4}\.){2}[0-9A-Fa-f]{4}")


def without_addresses(text: str, names: Iterable[str] = ()) -> str:
    """Return the text without IP and MAC addresses and without the given host names.

    >>> without_addresses("Amp 1 is 192.0.2.7/24 (02:00:5e:10:00:01), read at 12:30:45")
    'Amp 1 is [address left out] ([address left out]), read at 12:30:45'
    """
    found = _CANDIDATE.sub(lambda match: LEFT_OUT if _is_address(match[0]) else match[0], text)
    for name in names:
        found = re.sub(rf"(?<![\w.-]){re.escape(name)}(?![\w-])", LEFT_OUT, found, flags=re.IGNORECASE)
    return found


def _is_address(word: str) -> bool:
    if _MAC.fullmatch(word):
        return True
    try:
        ipaddress.ip_interface(word)
    except ValueError:
        return False
    return "." in word or ":" in word


def person(user: User | None) -> str:
    """Return how a person is named to an owner: their name, else what they are; never their account."""
    if user is None:
        return ""
    return user.get_full_name() or f"a {user.get_role_display().lower()}"
