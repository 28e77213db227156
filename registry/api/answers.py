"""Everything that goes wrong is answered as `application/problem+json` (RFC 9457)."""

import json
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from rest_framework.exceptions import AuthenticationFailed, NotAuthenticated, Throttled, ValidationError
from rest_framework.response import Response
from rest_framework.views import exception_handler

from registry.api.problems import MEDIA_TYPE, ParameterError, escaped, pointer_to, problem
from registry.api.throttling import wait_for_stranger
from sites.put import RefusedError

NO_SUCH_ADDRESS: Final = "There is nothing at this address. Addresses end with a slash; /api/v1/schema/ lists them."
TOO_LARGE: Final = "This is larger than the register takes in one request."
SAYS: Final = {
    404: NO_SUCH_ADDRESS,
    500: "This is a fault of the register, not of your request. It was logged.",
    503: "The database or the disk takes nothing just now, and nothing of this was saved: send it again later.",
}


def problem_response(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """Return the answer to an exception in a view; None leaves a fault of ours to Django, which logs it."""
    if isinstance(error, RefusedError):
        errors = [{"pointer": pointer_to(each.field), "detail": each.says} for each in error.problems]
        return _answer(409, problem(409, str(error), errors))
    if isinstance(error, RequestDataTooBig):
        return _answer(413, problem(413, TOO_LARGE))
    if isinstance(error, NotAuthenticated | AuthenticationFailed):
        wait = wait_for_stranger(context["request"])
        error = Throttled(wait=wait) if wait is not None else error
    found = exception_handler(error, dict(context))
    if found is None:
        return None
    answer = _answer(found.status_code, _problem_of(error, found))
    for name in ("WWW-Authenticate", "Retry-After", "Allow"):
        if found.has_header(name):
            answer[name] = found[name]
    return answer


def _answer(status: int, data: Mapping[str, Any]) -> Response:
    return Response(data, status=status, content_type=MEDIA_TYPE)


def _problem_of(error: Exception, found: Response) -> dict[str, Any]:
    if isinstance(error, ValidationError):
        place = "parameter" if isinstance(error, ParameterError) else "pointer"
        errors = list(_faults(error.detail, place, "" if place == "parameter" else "/"))
        return problem(400, "; ".join(each["detail"] for each in errors[:5]), errors)
    return problem(found.status_code, str(found.data.get("detail", "")) if isinstance(found.data, dict) else "")


def _faults(detail: Any, place: str, start: str, at: str = "") -> Iterator[dict[str, str]]:
    """Flatten what the serializers found: nested dictionaries and lists of sentences."""
    if isinstance(detail, Mapping):
        for name, inner in detail.items():
            here = at if name == "non_field_errors" else f"{at}{start}{escaped(str(name))}"
            yield from _faults(inner, place, start, here)
    elif isinstance(detail, list | tuple):
        for index, inner in enumerate(detail):
            nested = isinstance(inner, Mapping | list)
            yield from _faults(inner, place, start, f"{at}{start}{index}" if nested else at)
    else:
        yield {place: at, "detail": str(detail)}


class ProblemMiddleware:
    """Turns what Django itself answers under /api/ (unknown addresses, bad hosts, faults) into a problem."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request, and replace a page that tells of an error."""
        response = self.get_response(request)
        wrong = response.status_code >= 400 and response.get("Content-Type") != MEDIA_TYPE
        if not (wrong and request.path_info.startswith("/api/")):
            return response
        # The headers stay: when to try again, what is allowed, what browsers are told with every page.
        assert isinstance(response, HttpResponse)
        status = response.status_code
        response.content = json.dumps(problem(status, SAYS.get(status, response.reason_phrase)))
        response["Content-Type"], response["Content-Length"] = MEDIA_TYPE, len(response.content)
        return response
