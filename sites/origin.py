"""From where a write comes: a page, the API, a command; held for as long as one request or command lasts."""

import getpass
import platform
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, NamedTuple

from django.db import models

if TYPE_CHECKING:
    from sites.models import User


class Way(models.TextChoices):
    """The ways into the register. Empty: recorded before this was asked, or by a program that didn't say."""

    PAGE = "page", "Page"
    API = "api", "API"
    COMMAND = "command", "Command"
    STEWARD = "steward", "Stewards' tables"


class Origin(NamedTuple):
    """The way, the name of the page or command, the network address, and who is signed in."""

    way: str = ""
    name: str = ""
    address: str = ""
    user: "User | None" = None


_NOW: ContextVar[Origin | None] = ContextVar("origin", default=None)


def origin_now() -> Origin:
    """Return from where the writes of this moment come."""
    return _NOW.get() or Origin()


def name_origin(name: str) -> None:
    """Add the name of the page, as soon as it is known."""
    _NOW.set(origin_now()._replace(name=name))


def this_command(arguments: list[str]) -> Origin:
    """Return the origin of a command on this machine, with who runs it in the place of an address."""
    who = f"{getpass.getuser()}@{platform.node()}"
    return Origin(Way.COMMAND, arguments[1] if len(arguments) > 1 else "", who[:45])


@contextmanager
def coming_from(origin: Origin) -> Iterator[None]:
    """Say from where the writes inside come."""
    before = _NOW.set(origin)
    try:
        yield
    finally:
        _NOW.reset(before)
