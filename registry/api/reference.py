"""The API's description: as OpenAPI for programs, and as a page for people, made from the same."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from registry.api.conditional import answered
from registry.api.schema import document

MANY = 12


class Field(NamedTuple):
    """One field of a body, or one parameter."""

    name: str
    kind: str
    must: bool
    says: str


class Operation(NamedTuple):
    """One thing that can be done at an address."""

    method: str
    path: str
    says: str
    parameters: list[Field]
    sends: list[Field]
    answers: list[Field]


class OpenApi(APIView):
    """The description for programs."""

    def get(self, request: Request) -> Response:
        """Return it."""
        return answered(request, document())


openapi = OpenApi.as_view()


def reference(request: HttpRequest) -> HttpResponse:
    """Show the description to people."""
    found = document()
    about = [" ".join(part.split()) for part in found["info"]["description"].split("\n\n")]
    return render(request, "api/reference.html", {"about": about, "subjects": list(subjects(found).items())})


def subjects(found: Mapping[str, Any]) -> dict[str, list[Operation]]:
    """Return all operations by the first word of their address."""
    grouped: dict[str, list[Operation]] = {}
    for path, methods in found["paths"].items():
        for method, operation in methods.items():
            grouped.setdefault(operation["tags"][0], []).append(_operation(found, method, path, operation))
    return grouped


def _operation(found: Mapping[str, Any], method: str, path: str, operation: Mapping[str, Any]) -> Operation:
    parameters = [
        Field(each["name"], _kind(each["schema"]), each.get("required", False), each.get("description", ""))
        for each in operation.get("parameters", ())
        if each["in"] != "path"
    ]
    sends = _fields(found, operation.get("requestBody"))
    answers = _fields(found, operation["responses"].get("200") or operation["responses"].get("201"))
    says = " ".join(operation.get("description", "").split())
    return Operation(method.upper(), path, says, parameters, sends, answers)


def _fields(found: Mapping[str, Any], body: Mapping[str, Any] | None) -> list[Field]:
    """Return the fields of a body; of a list those of its rows."""
    content = (body or {}).get("content", {}).get("application/json")
    if content is None:
        return []
    schema = _resolved(found, content["schema"])
    if "results" in schema.get("properties", {}):
        schema = _resolved(found, schema["properties"]["results"]["items"])
    return list(_flat(found, schema))


def _flat(found: Mapping[str, Any], schema: Mapping[str, Any], start: str = "") -> Iterator[Field]:
    """Yield a schema's fields, those of nested ones behind them."""
    for name, part in schema.get("properties", {}).items():
        inner = _resolved(found, part)
        says = part.get("description") or inner.get("description", "")
        yield Field(start + name, _kind(inner), name in schema.get("required", ()), " ".join(says.split()))
        rows = _resolved(found, inner["items"]) if "items" in inner else inner
        yield from _flat(found, rows, f"{start}{name}{'[]' if rows is not inner else ''}.")


def _resolved(found: Mapping[str, Any], schema: Mapping[str, Any]) -> Mapping[str, Any]:
    """Follow a reference; of one of several the first that says something."""
    for several in ("allOf", "oneOf", "anyOf"):
        if several in schema:
            return _resolved(found, schema[several][0])
    name = schema.get("$ref", "").rpartition("/")[2]
    return found["components"]["schemas"][name] if name else schema


def _kind(schema: Mapping[str, Any]) -> str:
    """Return what a value looks like, in words."""
    several = schema.get("oneOf") or schema.get("anyOf")
    if several:
        return " or ".join(dict.fromkeys(_kind(each) for each in several))
    choices = [str(each) for each in schema.get("enum", ()) if each not in ("", None)]
    if choices:
        return f"one of {', '.join(choices[:MANY])}{', …' if len(choices) > MANY else ''}"
    kinds = schema.get("type", "any")
    word = " or ".join(kinds) if isinstance(kinds, list) else kinds
    return f"{word} ({schema['format']})" if "format" in schema and schema["format"] != "double" else word
