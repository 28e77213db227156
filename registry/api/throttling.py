"""Whoever brings no token, or a wrong one, too often has to wait. A good token never waits for the wrong ones."""

from typing import Any

from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle


class StrangerThrottle(SimpleRateThrottle):
    """Counts refusals by address."""

    rate = "60/min"

    def get_cache_key(self, request: Request, view: Any) -> str:
        """Count each address on its own."""
        return f"api-stranger-{self.get_ident(request)}"


def wait_for_stranger(request: Request) -> float | None:
    """Count one more refusal; return how many seconds to wait when there were too many, else None."""
    throttle = StrangerThrottle()
    if throttle.allow_request(request, None):
        return None
    return throttle.wait() or 1.0
