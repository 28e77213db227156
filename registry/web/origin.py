"""Tells the log from which page and address the writes of a request come."""

from collections.abc import Callable
from typing import Any, Final

from django.http import HttpRequest, HttpResponseBase

from registry.web.accounts.address import client_address
from sites.origin import Origin, Way, coming_from, name_origin

WAYS: Final = (("/api/", Way.API), ("/admin/", Way.STEWARD))


class OriginMiddleware:
    """Goes after the middleware that knows who is signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request; what is written meanwhile comes from it."""
        way = next((way for path, way in WAYS if request.path.startswith(path)), Way.PAGE)
        with coming_from(Origin(way, address=client_address(request), user=getattr(request, "user", None))):
            return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        """Add the name of the page, which is known now."""
        match = request.resolver_match
        name_origin((match.url_name or match.route) if match else "")
