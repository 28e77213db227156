"""What can go wrong, and the members of a problem (RFC 9457)."""

from http import HTTPStatus
from typing import Any, Final

from rest_framework.exceptions import APIException, ValidationError

MEDIA_TYPE: Final = "application/problem+json"


class ParameterError(ValidationError):
    """Raised for a query parameter that is wrong; `errors` name it as `parameter`, not as a place in the body."""


class PreconditionFailedError(APIException):
    """Raised when the row isn't any more what the writer read."""

    status_code = 412
    default_detail = "This was changed since you read it: read it again, then send your change with its new ETag."


class PreconditionRequiredError(APIException):
    """Raised when a change doesn't say what it is a change of."""

    status_code = 428
    default_detail = "Say what you change: read it, then send its ETag as If-Match."


class RefusedByRegisterError(APIException):
    """Raised for what fits the schema and is refused for what the register holds."""

    status_code = 409


class KeyUsedError(APIException):
    """Raised for an Idempotency-Key that came before with something else."""

    status_code = 422


def problem(status: int, detail: str, errors: list[dict[str, str]] | None = None) -> dict[str, Any]:
    """Return the members of a problem."""
    found: dict[str, Any] = {"type": "about:blank", "title": HTTPStatus(status).phrase, "status": status}
    return found | {"detail": detail} | ({"errors": errors} if errors else {})


def pointer_to(field: str | None) -> str:
    """Return the place of a column in a body, as a JSON pointer (RFC 6901); the whole body is ""."""
    return f"/{escaped(field.removesuffix('_id'))}" if field else ""


def escaped(name: str) -> str:
    """Return a name as a part of a JSON pointer."""
    return name.replace("~", "~0").replace("/", "~1")
