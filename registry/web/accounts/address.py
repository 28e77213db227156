"""Where a request comes from, as far as that can be believed."""

from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from typing import Any, Final

from django.conf import settings
from django.http import HttpRequest

ONE_CUSTOMER: Final = 64  # bits: the piece of the IPv6 space that one line usually gets (RFC 6177), so one sender


def client_address(request: HttpRequest) -> str:
    """Return the address of who asks, empty when it isn't known.

    X-Forwarded-For counts only behind our own proxy, which adds the address it saw at the right; whatever stands
    further left is what the sender claims.
    """
    heard = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.BEHIND_PROXY else ""
    for text in (*reversed(heard.split(",")), request.META.get("REMOTE_ADDR", "")):
        found = _parsed(text)
        if found is not None and (not found.is_loopback or not heard):
            return str(found)
    return ""


def throttled_address(request: HttpRequest) -> str:
    """Return what wrong passwords are counted by: the address, of IPv6 the piece that one sender can choose from."""
    text = client_address(request)
    if ":" not in text:
        return text or "0.0.0.0"  # noqa: S104 (a word for "not known" that fits an address column)
    return str(ip_network((text, ONE_CUSTOMER), strict=False).network_address)


def throttled_name(request: HttpRequest, credentials: dict[str, Any] | None = None) -> str:
    """Return the name that wrong passwords are counted by, one for all the ways to write it."""
    name = (credentials or {}).get("username") or request.POST.get("username") or ""
    return str(name).strip().casefold()[:255]


def _parsed(text: str) -> IPv4Address | IPv6Address | None:
    try:
        found = ip_address(text.strip())
    except ValueError:
        return None
    mapped = found.ipv4_mapped if isinstance(found, IPv6Address) else None
    return mapped or found
