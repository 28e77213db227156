"""The OpenAPI description of the API, made from the code: what drf-spectacular can't know by itself."""

from functools import cache
from typing import Any, Final

from drf_spectacular.authentication import SessionScheme
from drf_spectacular.extensions import OpenApiAuthenticationExtension, OpenApiSerializerFieldExtension
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

from registry.api.acting import LONGEST_KEY
from registry.api.fields import LARGEST, MONEY
from registry.api.filters import ID

IF_MATCH: Final = OpenApiParameter(
    "If-Match",
    {"type": "string", "minLength": 1},
    OpenApiParameter.HEADER,
    required=True,
    description="The ETag of what you change, as you read it.",
)
IF_NONE_MATCH: Final = OpenApiParameter(
    "If-None-Match", str, OpenApiParameter.HEADER, description="The ETag that you have: 304 when nothing differs."
)
IDEMPOTENCY_KEY: Final = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "minLength": 1, "maxLength": LONGEST_KEY, "pattern": "^[!-~]+$"},
    OpenApiParameter.HEADER,
    description="A key of yours: sent again with it, the same request is answered again and done once.",
)
HEADERS: Final = {
    "GET": [IF_NONE_MATCH],
    "POST": [IDEMPOTENCY_KEY],
    "PATCH": [IF_MATCH],
    "DELETE": [IF_MATCH],
}


class Schema(AutoSchema):
    """Adds the headers of this API and the body of a change."""

    def get_override_parameters(self) -> list[Any]:
        """Name the headers that every request of a kind may carry."""
        return [*super().get_override_parameters(), *HEADERS.get(self.method, [])]

    def get_request_serializer(self) -> Any:
        """A change, or a new row, may have a body of its own."""
        name = {"partial_update": "change_serializer_class", "create": "add_serializer_class"}.get(self.view.action)
        return (name and getattr(self.view, name, None)) or super().get_request_serializer()

    def get_serializer_name(self, serializer: Any, direction: Any) -> str:
        """Name a row's schema after the row."""
        name = super().get_serializer_name(serializer, direction)
        return name.replace("RowChange", "Change").removesuffix("Row").removesuffix("Body")

    def _map_serializer_field(self, field: Any, direction: str, bypass_extensions: bool = False) -> Any:
        """A text that may be empty needn't look like anything when it is."""
        found = super()._map_serializer_field(field, direction, bypass_extensions)
        if getattr(field, "allow_blank", False) and "pattern" in found:
            found["pattern"] = f"^$|{found['pattern']}"
        if found.get("type") == "array" and getattr(field, "min_length", None):
            found |= {"minItems": field.min_length, "maxItems": field.max_length}
        return found

    def get_tags(self) -> list[str]:
        """Group by the first word of the address."""
        return [self.path.removeprefix("/api/v1/").split("/")[0]]

    def _resolve_path_parameters(self, variables: Any) -> Any:
        """Every row is named by its id, a whole number."""
        found = super()._resolve_path_parameters(variables)
        return [each | {"schema": dict(ID), "description": "The row's id."} for each in found]


class NumberExtension(OpenApiSerializerFieldExtension):
    """A quantity says its unit and its range."""

    target_class = "registry.api.fields.Number"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        """Describe it."""
        known = self.target.quantity
        found: dict[str, Any] = {"type": "number", "format": "double"}
        if direction == "request" and known is not None:
            found["maximum"] = known.maximum if known.maximum is not None else LARGEST
            if known.above is not None:
                found["exclusiveMinimum"] = known.above
            else:
                found["minimum"] = known.minimum if known.minimum is not None else -LARGEST
        if known is not None:
            unit = f"In {known.unit}." if known.unit else ""
            found["description"] = f"{str(known.verbose_name).capitalize()}. {unit} {known.help_text}".strip()
        return found


class ReferenceExtension(OpenApiSerializerFieldExtension):
    """The id of another row."""

    target_class = "registry.api.fields.Reference"
    match_subclasses = True

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        """Describe it."""
        return dict(ID)


class MoneyExtension(OpenApiSerializerFieldExtension):
    """An amount of money."""

    target_class = "registry.api.fields.Money"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        """Describe it."""
        return {"type": "string", "pattern": f"^{MONEY.pattern}$", "description": "An amount, in `currency`."}


class AddressExtension(OpenApiSerializerFieldExtension):
    """An IP address."""

    target_class = "registry.api.fields.Address"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        """Describe it."""
        return {"type": "string", "anyOf": [{"format": "ipv4"}, {"format": "ipv6"}]}


class TokenScheme(OpenApiAuthenticationExtension):
    """`Authorization: Bearer …`."""

    target_class = "registry.api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, Any]:
        """Describe it."""
        return {"type": "http", "scheme": "bearer", "description": "A token that a manager made for your program."}


class SignedInScheme(SessionScheme):
    """The session of a person."""

    target_class = "registry.api.authentication.SignedInAuthentication"
    name = "session"


@cache
def document() -> dict[str, Any]:
    """Return the whole description; it is the same for everybody until the program is started anew."""
    from registry.api.urls import routes  # the routes name the views, which name this module

    found: dict[str, Any] = SchemaGenerator(patterns=routes, api_version="v1").get_schema(request=None, public=True)
    return found
