"""Requests that change something through the API: one per operation of its OpenAPI description, bodies mutated."""

import json
import random
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from registry.api.schema import document
from tests.fuzz.hostile import TEXTS, VALUES

WRITES: Final = ("post", "patch", "delete")
ENCODINGS: Final = ("utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "latin-1")
OWN: Final = ("name", "tag", "label", "code", "serial")
TYPES: Final = ("application/json", "application/merge-patch+json", "text/plain", "application/json; charset=utf-16")


class Operation(NamedTuple):
    """A method at an address pattern, and the properties that its body may have."""

    method: str
    path: str
    properties: Mapping[str, Any]

    @property
    def resource(self) -> str:
        """The first word of the address: the rows it is about."""
        return self.path.removeprefix("/api/v1/").split("/")[0]


class Asked(NamedTuple):
    """A request as it is sent."""

    method: str
    path: str
    content: bytes
    content_type: str


def operations() -> list[Operation]:
    """Return every operation that writes, in the order of the description."""
    found = []
    for path, methods in document()["paths"].items():
        for method in sorted(methods.keys() & set(WRITES)):
            body = (
                methods[method].get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema", {})
            )
            found.append(Operation(method, path, _resolved(body).get("properties", {})))
    return found


def _resolved(schema: Mapping[str, Any]) -> Mapping[str, Any]:
    while "$ref" in schema:
        schema = document()["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    return schema


def request_for(operation: Operation, rows: Mapping[str, list[dict[str, Any]]], rng: random.Random) -> Asked:
    """Return a request with a body like that of a row that is there, and up to three things wrong with it."""
    known = rows[operation.resource]
    row = rng.choice(known) if known else {}
    body = {name: row.get(name, _invented(schema, rng)) for name, schema in operation.properties.items()}
    if operation.method == "post":
        body |= {name: f"{body[name]}-{rng.randrange(10**6)}" for name in OWN if isinstance(body.get(name), str)}
    for _ in range(rng.choice([0, 1, 1, 1, 2, 3])):
        mutate(body, rows, rng)
    pk = row.get("id", 1) if rng.random() < 0.97 else rng.choice([0, 10**9, 10**19])
    content = written(body, rng) if operation.method != "delete" else b""
    kind = rng.choice(TYPES) if rng.random() < 0.02 else TYPES[0]
    return Asked(operation.method, operation.path.replace("{id}", str(pk)), content, kind)


def _invented(schema: Mapping[str, Any], rng: random.Random) -> Any:
    """Return something of the type that the description names, where no row shows one."""
    schema = _resolved(schema)
    for one in schema.get("oneOf", schema.get("allOf", ())):
        return _invented(one, rng)
    if "enum" in schema:
        return rng.choice(schema["enum"])
    kind = schema.get("type", "null")
    kind = kind[0] if isinstance(kind, list) else kind
    if schema.get("format") == "date-time":
        return f"2026-11-20T10:{rng.randrange(60):02}:{rng.randrange(60):02}Z"
    if kind == "object":
        return {name: _invented(inner, rng) for name, inner in schema.get("properties", {}).items()}
    if kind == "array":
        return [_invented(schema["items"], rng)]
    return {"integer": rng.randint(1, 4), "number": 2.5, "boolean": rng.random() < 0.5, "string": "text"}.get(kind)


def mutate(body: dict[str, Any], rows: Mapping[str, list[dict[str, Any]]], rng: random.Random) -> None:
    """Put one thing wrong: a value, a type, a name, a reference to another row."""
    name = rng.choice([*body, "unknown"])
    way = rng.randrange(10)
    if way < 4:
        body[name] = rng.choice(TEXTS)
    elif way < 6:
        body[name] = rng.choice(VALUES)
    elif way == 6:
        body.pop(name, None)
    elif way == 7:
        body[name] = rng.choice(rng.choice([each for each in rows.values() if each]))["id"]
    elif way == 8:
        body[name] = _inside(body.get(name), rng)
    else:
        body[rng.choice([name.upper(), f"{name}_id", *TEXTS[:30]])] = body.get(name)


def _inside(value: Any, rng: random.Random) -> Any:
    """Change something within a value: one entry of a list, one member, one sign, the number itself."""
    if isinstance(value, list) and value:
        return [*value, rng.choice([value[0], *VALUES])]
    if isinstance(value, dict) and value:
        return value | {rng.choice(sorted(value)): rng.choice([*VALUES, *TEXTS])}
    if isinstance(value, str) and value:
        at = rng.randrange(len(value))
        return value[:at] + rng.choice("0.-e\x00é:TZ+") + value[at + 1 :]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return rng.choice([-value, value * 1000, value // 7, str(value), [value]])
    return [value]


def written(body: Any, rng: random.Random) -> bytes:
    """Return the bytes of a body; now and then cut off, in another encoding, nested too deep, with a name twice."""
    text = json.dumps(body, ensure_ascii=rng.random() < 0.5)
    way = rng.randrange(60)
    if way == 0:
        text = text[: rng.randrange(len(text) + 1)]
    elif way == 1:
        text = "[" * rng.choice([50, 100_000]) + text
    elif way == 2 and body:
        text = text.replace("{", f'{{"{rng.choice(["name", "site", "id", *body])}": 1, ', 1)
    elif way == 3:
        text = rng.choice(["", "null", "[]", "1", '"text"', "NaN", "{", "{}{}", f"[{text}]"])
    content = text.encode(
        rng.choice(ENCODINGS) if way in range(4, 8) else "utf-8", "surrogatepass" if way > 7 else "replace"
    )
    return content[: way - 60] + b"\xff" if way == 59 else content
