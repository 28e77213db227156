"""Settings of the REST framework and of the schema that is made from the code; `registry.settings` takes them up."""

from typing import Any

REST_FRAMEWORK: dict[str, Any] = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "registry.api.authentication.TokenAuthentication",
        "registry.api.authentication.SignedInAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["registry.api.permissions.MayReadOrWrite"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["registry.api.parsing.BoundedJSONParser"],
    "DEFAULT_FILTER_BACKENDS": [
        "registry.api.filters.KnownParameters",
        "registry.api.filters.Filtered",
        "registry.api.filters.Found",
        "registry.api.filters.Ordered",
    ],
    "DEFAULT_PAGINATION_CLASS": "registry.api.paging.Pages",
    "DEFAULT_SCHEMA_CLASS": "registry.api.schema.Schema",
    "DEFAULT_METADATA_CLASS": None,
    "EXCEPTION_HANDLER": "registry.api.answers.problem_response",
    "URL_FORMAT_OVERRIDE": None,
}

ABOUT = """
The register as JSON. Numbers are in the unit that stands at the end of their name (`ceiling_m` is in metres) or in
their description; null is “not known”. Times carry their offset.

Send a token that a manager made for your program: `Authorization: Bearer evenkeel_…`. It sees what its clients are
limited to; a token that only reads gets 403 when it writes.

A change names what it is a change of: send the `ETag` that you read as `If-Match`, and get 412 when somebody was
faster. A `POST` with an `Idempotency-Key` of yours is done once, however often you send it; it is remembered for 90
days.

Whatever is refused comes as `application/problem+json` (RFC 9457). 400: it doesn't fit this schema. 409: it fits,
but the register refuses it for what it holds already. Both name the fields in `errors`.

What is recorded stays: readings, configuration records and baselines are corrected by newer ones, never changed.
"""

SPECTACULAR_SETTINGS: dict[str, Any] = {
    "TITLE": "Evenkeel",
    "DESCRIPTION": ABOUT.strip(),
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "COMPONENT_SPLIT_REQUEST": True,
    "COMPONENT_NO_READ_ONLY_REQUIRED": False,
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    "POSTPROCESSING_HOOKS": ["registry.api.schema_hooks.complete"],
    "SORT_OPERATION_PARAMETERS": False,
}
