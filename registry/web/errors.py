"""Pages for when the register itself fails: they need no database, and the stylesheet only if it is there."""

import errno
import sqlite3
import sys
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

import psycopg
from django.core.exceptions import SuspiciousOperation
from django.db import DatabaseError, InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.template import loader
from django.templatetags.static import static

from registry.logs import request_id

WAIT_SECONDS: Final = 30


class Trouble(NamedTuple):
    """What keeps the register from working, in words for whoever wanted to save."""

    heading: str
    what: str
    do: str


# Why nothing can be written, by what each database and the disk call it.
FULL: Final = Trouble(
    "There is no room to save this",
    "The disk of the register is full.",
    "Tell your administrator now: room has to be made before anything can be saved. Reading works meanwhile.",
)
READ_ONLY: Final = Trouble(
    "The register can only be read just now",
    "Its database or its folder of files refuses to be written.",
    "Tell your administrator. Reading works meanwhile.",
)
AWAY: Final = Trouble(
    "The register can't answer just now",
    "Its database is busy or out of reach.",
    "Wait half a minute, go back and send it once more. If it stays so, tell your administrator.",
)
SQLITE: Final = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
}
POSTGRESQL: Final[dict[type, Trouble]] = {
    psycopg.errors.DiskFull: FULL,
    psycopg.errors.ReadOnlySqlTransaction: READ_ONLY,
}
DISK: Final = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
}


def bad_request(request: HttpRequest, exception: SuspiciousOperation | Exception) -> HttpResponse:
    """Answer a request that can't be read."""
    return _page("400.html", 400)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer after a fault of ours; when nothing can be written or asked just now, say which, and what to do."""
    trouble = trouble_of(sys.exception())
    if trouble is None:
        return _page("500.html", 500)
    response = _page("503.html", 503, trouble=trouble, sent=request.method not in {"GET", "HEAD"})
    response.headers["Retry-After"] = str(WAIT_SECONDS)
    return response


def trouble_of(error: BaseException | None) -> Trouble | None:
    """Return what is wrong with the database or the disk, or None when the fault is ours."""
    for cause in _causes(error):
        code = getattr(cause, "sqlite_errorcode", None)
        if code is not None and (known := SQLITE.get(code & 0xFF)):
            return known
        if known := POSTGRESQL.get(type(cause)) or DISK.get(getattr(cause, "errno", None) or 0):
            return known
        if code is not None and isinstance(error, DatabaseError) and code & 0xFF == sqlite3.SQLITE_ERROR:
            return None  # SQLite calls a mistake in a query operational too
    return AWAY if isinstance(error, OperationalError | InterfaceError) else None


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__


def _page(template: str, status: int, **words: Any) -> HttpResponse:
    context = {"number": request_id.get(), "stylesheet": _stylesheet(), **words}
    return HttpResponse(loader.get_template(template).render(context), status=status)


def _stylesheet() -> str:
    try:
        return static("evenkeel.css")
    except ValueError:  # static files weren't collected: one more reason to fail, not to fail at failing
        return ""
