"""One line of the log per request, under a number that the answer carries too."""

import logging
import re
import time
import uuid
from collections.abc import Callable
from typing import Final

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.utils.functional import SimpleLazyObject, empty

from registry.logs import request_id
from registry.web.health import HEALTH, READY

HEADER: Final = "X-Request-ID"
NUMBER: Final = re.compile(r"[A-Za-z0-9._-]{8,64}")
log = logging.getLogger(__name__)


class RequestLogMiddleware:
    """Goes first. The number is the proxy's when it gives one, so that both logs can be read side by side."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request, and write its line. What is streamed counts as answered when it begins."""
        began = time.perf_counter()
        number = number_of_request(request)
        before = request_id.set(number)
        try:
            response = self.get_response(request)
            response.headers[HEADER] = number
            _tell(request, response, round((time.perf_counter() - began) * 1000))
        finally:
            request_id.reset(before)
        return response


def number_of_request(request: HttpRequest) -> str:
    """Return the proxy's number of a request when it is one, else a new one."""
    given = request.headers.get(HEADER, "") if settings.BEHIND_PROXY else ""
    return given if NUMBER.fullmatch(given) else uuid.uuid4().hex


def _tell(request: HttpRequest, response: HttpResponseBase, ms: int) -> None:
    method, path, status = request.method or "", request.path, response.status_code
    members = {"method": method, "path": path, "status": status, "ms": ms, "user": _known_user(request)}
    log.log(_level(path, status), "%s %s %s", method, path, status, extra={"members": members})


def _level(path: str, status: int) -> int:
    """Return how much a line matters: that all is well is asked every few seconds."""
    if status >= 500:
        return logging.ERROR
    return logging.DEBUG if path in {HEALTH, READY} else logging.INFO


def _known_user(request: HttpRequest) -> int | None:
    """Return who was signed in, without asking the database when the page didn't."""
    user = getattr(request, "user", None)
    if isinstance(user, SimpleLazyObject) and user._wrapped is empty:
        return None
    return getattr(user, "pk", None)
