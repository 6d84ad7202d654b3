"""Dataclasses as components of the schema, by their type hints."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any

from drf_spectacular.extensions import OpenApiSerializerExtension
from drf_spectacular.openapi import AutoSchema

from api.shapes import ListOf, PartOf

JsonSchema = dict[str, Any]

SCALARS: dict[Any, JsonSchema] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Decimal: {"type": "string", "pattern": r"^-?\d+(\.\d+)?$"},
    datetime: {"type": "string", "format": "date-time"},
    date: {"type": "string", "format": "date"},
    type(None): {"type": "null"},
    Any: {},
    object: {},
}


class FactsExtension(OpenApiSerializerExtension):  # type: ignore[no-untyped-call]
    """Make a component of a dataclass, with every field always there."""

    target_class = object  # decided by _matches

    @classmethod
    def _matches(cls, target: Any) -> bool:
        return isinstance(target, type) and is_dataclass(target)

    def get_name(self, auto_schema: AutoSchema, direction: Any) -> str:
        return str(self.target.__name__)

    def map_serializer(self, auto_schema: AutoSchema, direction: Any) -> JsonSchema:
        hints = typing.get_type_hints(self.target)
        properties = {
            field.name: schema_of(hints[field.name], auto_schema) for field in fields(self.target)
        }
        told = (self.target.__doc__ or "").split("\n")[0]
        described = {} if told.startswith(f"{self.target.__name__}(") else {"description": told}
        return {
            "type": "object",
            **described,
            "properties": properties,
            "required": list(properties),
        }


class PageExtension(OpenApiSerializerExtension):  # type: ignore[no-untyped-call]
    """Make a component of a page of rows; `next` may be null, in the words of 3.1."""

    target_class = object

    @classmethod
    def _matches(cls, target: Any) -> bool:
        return isinstance(target, ListOf)

    def get_name(self, auto_schema: AutoSchema, direction: Any) -> str:
        return f"PageOf{self.target.row.__name__}"

    def map_serializer(self, auto_schema: AutoSchema, direction: Any) -> JsonSchema:
        items = {"type": "array", "items": schema_of(self.target.row, auto_schema)}
        return {
            "type": "object",
            "properties": {"items": items, "next": {"type": ["string", "null"]}},
            "required": ["items", "next"],
        }


class PartExtension(OpenApiSerializerExtension):  # type: ignore[no-untyped-call]
    """Make a component of some fields of a facts class."""

    target_class = object

    @classmethod
    def _matches(cls, target: Any) -> bool:
        return isinstance(target, PartOf)

    def get_name(self, auto_schema: AutoSchema, direction: Any) -> str:
        return str(self.target.name)

    def map_serializer(self, auto_schema: AutoSchema, direction: Any) -> JsonSchema:
        hints = self.target.hints()
        properties = {key: schema_of(hint, auto_schema) for key, hint in hints.items()}
        return {"type": "object", "properties": properties, "required": list(properties)}


def schema_of(hint: Any, auto_schema: AutoSchema) -> JsonSchema:
    """Return the schema of what `plain` makes of a value with this type hint."""
    if hint in SCALARS:
        return dict(SCALARS[hint])
    if isinstance(hint, type) and is_dataclass(hint):
        shape: Any = hint  # what an extension matches may stand where a serializer does
        reference: JsonSchema = auto_schema.resolve_serializer(shape, "response").ref
        return reference
    if isinstance(hint, type) and issubclass(hint, Enum):
        return {"type": "string", "enum": [str(one.value) for one in hint]}
    return _generic(hint, auto_schema)


def _generic(hint: Any, auto_schema: AutoSchema) -> JsonSchema:
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        return {"anyOf": [schema_of(one, auto_schema) for one in inner]}
    if origin is typing.Literal:
        return {"enum": list(inner)}
    if origin is tuple and not (len(inner) == 2 and inner[1] is Ellipsis):
        return _row(inner, auto_schema)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {"type": "object", "additionalProperties": schema_of(inner[1], auto_schema)}
    if isinstance(origin, type) and issubclass(origin, Sequence | Set):
        return {"type": "array", "items": schema_of(inner[0], auto_schema)}
    return {"type": "object"}  # a TypedDict of the frozen facts


def _row(inner: tuple[Any, ...], auto_schema: AutoSchema) -> JsonSchema:
    items = [schema_of(one, auto_schema) for one in inner]
    return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}
