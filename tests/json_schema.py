"""A small check of data against a JSON Schema: those words of draft 2020-12 that the project's own schema uses.

Any other word is an assertion error, so that nothing in the schema goes unchecked.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

__all__ = ["violations"]

SAID_OF_NOTHING = {"$schema", "$defs", "title", "description", "default"}
KNOWN = {
    "$ref", "anyOf", "type", "const", "enum", "properties", "required", "additionalProperties", "items",
    "prefixItems", "minItems", "maxItems",
}  # fmt: skip
TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,), "array": (list,), "string": (str,), "boolean": (bool,), "null": (type(None),),
    "integer": (int,), "number": (int, float),
}  # fmt: skip


def violations(data: Any, schema: dict[str, Any], root: dict[str, Any], where: str = "$") -> Iterator[str]:
    """Where data is not what a schema asks for.

    Args:
        root: the whole schema, which has the definitions that ``$ref`` names.
    """
    assert set(schema) <= KNOWN | SAID_OF_NOTHING, set(schema)
    if "$ref" in schema:
        yield from violations(data, root["$defs"][schema["$ref"].removeprefix("#/$defs/")], root, where)
    if "anyOf" in schema and all(list(violations(data, one, root, where)) for one in schema["anyOf"]):
        yield f"{where}: is none of what it may be"
    if "const" in schema and (data != schema["const"] or isinstance(data, bool)):
        yield f"{where}: {data!r}"
    if "enum" in schema and data not in schema["enum"]:
        yield f"{where}: {data!r}"
    if "type" in schema and (
        not isinstance(data, TYPES[schema["type"]])
        or (isinstance(data, bool) and schema["type"] != "boolean")
    ):
        yield f"{where}: is no {schema['type']}"
    elif isinstance(data, dict):
        yield from _of_object(data, schema, root, where)
    elif isinstance(data, list):
        yield from _of_array(data, schema, root, where)


def _of_object(
    data: dict[str, Any], schema: dict[str, Any], root: dict[str, Any], where: str
) -> Iterator[str]:
    yield from (f"{where}: {key} is missing" for key in schema.get("required", ()) if key not in data)
    known, others = schema.get("properties", {}), schema.get("additionalProperties", {})
    for key, value in data.items():
        if key in known:
            yield from violations(value, known[key], root, f"{where}.{key}")
        elif others is False:
            yield f"{where}: {key} is unknown"
        else:
            yield from violations(value, others, root, f"{where}.{key}")


def _of_array(data: list[Any], schema: dict[str, Any], root: dict[str, Any], where: str) -> Iterator[str]:
    if not schema.get("minItems", 0) <= len(data) <= schema.get("maxItems", len(data)):
        yield f"{where}: has {len(data)} items"
    first = schema.get("prefixItems", [])
    for i, value in enumerate(data):
        if i < len(first) or "items" in schema:
            yield from violations(
                value, first[i] if i < len(first) else schema["items"], root, f"{where}[{i}]"
            )
