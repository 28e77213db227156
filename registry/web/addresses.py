"""Addresses of rows, for pages that lead to many of them."""

from functools import cache

from django.urls import reverse


def row_page(name: str, key: int | str) -> str:
    """Return the address of a row's page; `key` is its number or short code, the only part of the route that varies.

    Django's `reverse` looks the routes through and checks its result for every row again, which lists feel.
    """
    before, after = _around(name)
    return f"{before}{key}{after}"


@cache
def _around(name: str) -> tuple[str, str]:
    before, _, after = reverse(name, args=[0]).partition("0")
    return before, after
