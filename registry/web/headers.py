"""Response headers beside the content security policy, which django-csp sends."""

from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponseBase

# The comparator listens with the microphone, a spot is photographed with the camera; nothing else is needed.
OFF: Final = ("accelerometer", "display-capture", "geolocation", "gyroscope", "magnetometer", "midi", "payment", "usb")
PERMISSIONS: Final = ", ".join(("microphone=(self)", "camera=(self)", *(f"{name}=()" for name in OFF)))


class HeadersMiddleware:
    """Says what a page may use of the device, and that pages of somebody who signed in are nobody else's."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Add what the page itself doesn't say."""
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        # A page depends on who asks: shared caches keep none, and a browser asks before it shows one again.
        response.headers.setdefault("Cache-Control", "private, no-cache")
        return response
