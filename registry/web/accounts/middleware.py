"""What holds for every page of somebody who signed in: an end to the sign-in, and the second factor."""

from collections.abc import Callable
from typing import Any, Final, TypeVar

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone

from registry.web.fresh import fresh_sign_in_required
from sites.models import User
from sites.second_factor import has_second_factor, is_obliged

SEEN_EVERY: Final = 60  # seconds: the session is written when it is older, not at every click
Handler = Callable[[HttpRequest], HttpResponseBase]
V = TypeVar("V", bound=Callable[..., Any])


def before_second_factor(view: V) -> V:
    """Let a page be used by somebody who must set up a second factor first."""
    view.before_second_factor = True  # type: ignore[attr-defined]
    return view


class SignInLimitMiddleware:
    """Ends a sign-in after its longest time, and notes when it was last used (the session's expiry moves with that)."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Look at the session before the page does."""
        session, now = request.session, int(timezone.now().timestamp())
        if "signed_in_at" in session:
            if now - session["signed_in_at"] > settings.SIGN_IN_SECONDS:
                logout(request)
            elif now - session["seen_at"] > SEEN_EVERY:
                session["seen_at"] = now
        return self.get_response(request)


class SecondFactorMiddleware:
    """Leads who must use a second factor and has none to set it up; asks stewards again before the admin writes."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Go on; the view decides."""
        return self.get_response(request)

    def process_view(
        self, request: Any, view: Callable[..., HttpResponseBase], args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        """Let the page be shown (None), or answer in its place."""
        user = request.user
        if not isinstance(user, User) or not getattr(view, "login_required", True):
            return None
        if not getattr(view, "before_second_factor", False) and is_obliged(user) and not request.user.is_verified():
            return _lead_to_second_factor(request, user)
        if request.resolver_match.app_name == "admin" and request.method == "POST":
            return fresh_sign_in_required(view)(request, *args, **kwargs)
        return None


def _lead_to_second_factor(request: HttpRequest, user: User) -> HttpResponseBase:
    if not has_second_factor(user):
        return redirect("second-factor-on")
    # Signed in without it, from before the obligation: the door asks for both.
    logout(request)
    return redirect("sign-in")
