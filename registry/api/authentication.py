"""Who is asking: another program by its token. People who are signed in may look too (session, with CSRF)."""

from typing import Any

from rest_framework.authentication import BaseAuthentication, SessionAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from sites.models import IntegrationToken, User
from sites.second_factor import is_obliged
from sites.tokens import token_of


class TokenAuthentication(BaseAuthentication):
    """`Authorization: Bearer …` (RFC 6750)."""

    def authenticate(self, request: Request) -> tuple[User, IntegrationToken] | None:
        """Return the program's user and token; None leaves it to the session."""
        header = request.headers.get("Authorization", "")
        if not header:
            return None
        scheme, _, secret = header.partition(" ")
        token = token_of(secret.strip()) if scheme.lower() == "bearer" else None
        if token is None:
            raise AuthenticationFailed("This token isn't known here, has run out or was taken back.")
        return token.user, token

    def authenticate_header(self, request: Request) -> str:
        """Return what a stranger is told to bring."""
        return 'Bearer realm="Evenkeel"'


class SignedInAuthentication(SessionAuthentication):
    """A person who is signed in, with the second factor where it is asked for; writes carry the CSRF token."""

    def authenticate(self, request: Request) -> tuple[Any, None] | None:
        """Return the person; None when nobody is signed in, or not well enough."""
        found = super().authenticate(request)
        if found is None or (is_obliged(found[0]) and not request._request.user.is_verified()):
            return None
        return found
