"""Whether this process lives, and whether it can work: for whatever watches over the workers, without signing in.

Answered before hosts, sessions and addresses are looked at: who watches asks by number and over plain HTTP, and a
database that is gone must not keep a living process from saying so.
"""

import logging
import time
import uuid
from collections.abc import Callable
from functools import lru_cache
from typing import Final

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponseBase, HttpResponseNotAllowed, JsonResponse

HEALTH: Final = "/health/"
READY: Final = "/ready/"
MEDIA_EVERY: Final = 30  # seconds: a stranger who asks all the time must not fill the storage's bill
log = logging.getLogger(__name__)


class HealthMiddleware:
    """Goes below the one that adds security headers, above everything that needs a database."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the two addresses; leave the rest alone."""
        if request.path not in {HEALTH, READY}:
            return self.get_response(request)
        if request.method not in {"GET", "HEAD"}:
            return HttpResponseNotAllowed(["GET", "HEAD"])
        found = {"process": True} if request.path == HEALTH else readiness()
        said = {name: "ok" if well else "failed" for name, well in found.items()}
        status = 200 if all(found.values()) else 503
        return JsonResponse(said, status=status, headers={"Cache-Control": "no-store"})


def readiness() -> dict[str, bool]:
    """Return what a worker needs and whether it has it; why not stands in the log only."""
    database = _works("database", _ask_database)
    migrations = database and _works("migrations", _look_at_migrations)
    media = _works("media", lambda: _write_media(int(time.monotonic() // MEDIA_EVERY)))
    return {"database": database, "migrations": migrations, "media": media}


def _works(name: str, attempt: Callable[[], None]) -> bool:
    try:
        attempt()
    except Exception:  # whatever it is, and of whichever library: the worker can't work
        log.exception("not ready: %s", name)
        return False
    return True


def _ask_database() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


@lru_cache(maxsize=1)  # only what succeeds is kept: this code's migrations, once applied, stay so
def _look_at_migrations() -> None:
    executor = MigrationExecutor(connection)
    if waiting := executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise RuntimeError(f"{len(waiting)} migrations wait: run manage.py migrate")


@lru_cache(maxsize=1)
def _write_media(period: int) -> None:
    name = default_storage.save(f"ready/{uuid.uuid4().hex}", ContentFile(b"ready"))
    default_storage.delete(name)
