"""The last touch on the OpenAPI description: refusals, validators, and bodies that take nothing unknown."""

from collections.abc import Iterator
from typing import Any, Final

PROBLEM: Final[dict[str, Any]] = {
    "type": "object",
    "description": "What went wrong (RFC 9457).",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["detail"],
                "properties": {
                    "pointer": {"type": "string", "description": "A place in the body, as a JSON pointer (RFC 6901)."},
                    "parameter": {"type": "string", "description": "A parameter of the query, or a header."},
                    "detail": {"type": "string"},
                },
            },
        },
    },
}
ALWAYS: Final = (400, 401, 403, 404, 405, 406, 429)
WHEN: Final = {"get": (), "post": (409, 413, 415, 422), "patch": (409, 412, 413, 415, 428), "delete": (409, 412, 428)}
SAYS: Final = {
    400: "It doesn't fit this schema.",
    401: "No token, or one that doesn't work.",
    403: "You may read this, but not change it.",
    404: "There is no such thing, or it isn't yours.",
    405: "This can't be done here.",
    406: "This API answers in JSON.",
    409: "It fits the schema, but the register refuses it for what it holds.",
    412: "It was changed since you read it.",
    413: "It is too large.",
    415: "Send JSON.",
    422: "The Idempotency-Key was used for something else.",
    428: "If-Match is missing.",
    429: "Too many requests without a good token.",
}
ETAG: Final = {"ETag": {"description": "The validator of what was sent.", "schema": {"type": "string"}}}


def complete(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """Complete the description."""
    schemas = result["components"]["schemas"]
    schemas["Problem"] = PROBLEM
    for name, schema in schemas.items():
        if name.endswith("Request"):
            for part in _parts(schema):
                _close(part)
    for path in result["paths"].values():
        for method, operation in path.items():
            _complete_operation(method, operation)
    return result


def _complete_operation(method: str, operation: dict[str, Any]) -> None:
    responses = operation["responses"]
    for status, response in responses.items():
        if status in {"200", "201"}:
            response["headers"] = dict(ETAG)
    if method == "get":
        responses["304"] = {"description": "What you have is what there is.", "headers": dict(ETAG)}
    for status in (*ALWAYS, *WHEN[method]):
        content = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
        responses[str(status)] = {"description": SAYS[status], "content": content}


def _parts(schema: Any) -> Iterator[dict[str, Any]]:
    """Yield a schema and all that is nested in it."""
    if isinstance(schema, dict):
        yield schema
        for inner in schema.values():
            yield from _parts(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from _parts(inner)


def _close(part: dict[str, Any]) -> None:
    """Say that nothing unknown is taken, and that a text that must be there is more than blanks."""
    if part.get("type") == "object" and "properties" in part:
        part["additionalProperties"] = False
    text = part.get("type") in ("string", ["string", "null"])
    if text and part.get("minLength") and not {"pattern", "format", "enum"} & part.keys():
        part["pattern"] = r"\S"
