"""Validators (RFC 9110): what was read once needn't be sent again, and a change says what it is a change of."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry.api.problems import PreconditionFailedError, PreconditionRequiredError
from sites.receipts import digest_of


def etag_of(content: Any) -> str:
    """Return the strong validator of a representation: equal exactly when every byte of meaning is equal.

    A row's version (sites.versions) wouldn't do: a load or a drift that was judged anew changes what is sent, not it.
    """
    return f'"{digest_of(content)[:32]}"'


def answered(request: Request, content: Any) -> Response:
    """Answer a GET: 304 when the reader has the same already."""
    etag = etag_of(content)
    headers = {"ETag": etag, "Cache-Control": "private, no-cache"}
    if _matches(request.headers.get("If-None-Match"), etag, weak=True):
        return Response(status=304, headers=headers)
    return Response(content, headers=headers)


def require_match(request: Request, content: Any) -> None:
    """Refuse a change of what is not any more as the writer read it, or that doesn't say what it was."""
    given = request.headers.get("If-Match")
    if not given:
        raise PreconditionRequiredError
    if not _matches(given, etag_of(content), weak=False):
        raise PreconditionFailedError


def _matches(header: str | None, etag: str, *, weak: bool) -> bool:
    if not header:
        return False
    given = {part.strip() for part in header.split(",")}
    if weak:
        given = {part.removeprefix("W/") for part in given}
    return "*" in given or etag in given
