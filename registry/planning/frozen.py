"""Plain dataclasses to JSON and back, so that what was computed once is read again and never computed anew."""

import dataclasses
import types
from collections.abc import Mapping
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def frozen(value: Any) -> Any:
    """Return a dataclass of plain values as JSON values."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {each.name: frozen(getattr(value, each.name)) for each in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): frozen(each) for key, each in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, list | tuple):
        return [frozen(each) for each in value]
    return value


def thawed(kind: type[T], data: Any) -> T:
    """Return the value of a type that `frozen` made JSON of."""
    made: T = _thawed(kind, data)
    return made


def _thawed(kind: Any, data: Any) -> Any:
    origin, parts = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return None if data is None else _thawed(next(part for part in parts if part is not type(None)), data)
    if origin is frozenset:
        return frozenset(_thawed(parts[0], each) for each in data)
    if origin is tuple and len(parts) == 2 and parts[1] is Ellipsis:
        return tuple(_thawed(parts[0], each) for each in data)
    if origin is tuple:
        return tuple(_thawed(part, each) for part, each in zip(parts, data, strict=True))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {_thawed(parts[0], key): _thawed(parts[1], each) for key, each in data.items()}
    if origin is Literal or kind is Any:
        return data
    if dataclasses.is_dataclass(kind):
        hints = get_type_hints(kind)
        values = {each.name: _thawed(hints[each.name], data[each.name]) for each in dataclasses.fields(kind)}
        return kind(**values)  # type: ignore[operator]
    return kind(data)
