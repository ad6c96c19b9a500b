"""The page that describes ``shapes.json``, from the model that writes it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from patterns.shop.shapes_models import VERSION, shapes_schema

__all__ = ["shapes_page"]

INTRODUCTION = f"""\
# shapes.json

Every pattern of a boat as data, version {VERSION} of the format: the version changes when a key changes its meaning
or goes, not when one is added. `shapes.schema.json` beside this page is its JSON Schema. Both are generated from
`shapes_models.py`.

Lengths are in mm of the boat herself, at any scale of the pages; angles are in degrees. In the boat x runs aft, y
outboard to starboard, z up.

## From the drawing to the boat

One rule holds for every pattern whose `plane` is not null, and for all of its points: those of outlines, lines,
holes, marks, bevels, distances and hull edges. A point (x, y) of the drawing is in the boat at

    origin_mm + x * u + y * v

The rule holds for drawings that are mirrored or turned as well: `u` and `v` are turned with them, and what is drawn
never moves the wood. Where `plane` has a `radius_mm` r the face is curved and the drawing is unrolled: x is
measured round the cylinder. With n the unit vector square to `u` and `v` on its hollow side, the point is at

    origin_mm + r * sin(x / r) * u + y * v + r * (1 - cos(x / r)) * n

The angles are in radians there. Points of a hull edge on the other face are those that are square across from it:
add the piece's thickness along the line square to the plane.
"""


def shapes_page() -> str:
    """The page, as Markdown."""
    schema = shapes_schema()
    parts = [INTRODUCTION, *_part("The file", schema)]
    for name in _in_order(schema):
        parts += _part(name.removesuffix("Data"), schema["$defs"][name])
    return "\n".join(parts)


def _in_order(schema: dict[str, Any]) -> list[str]:
    """The parts of a schema in the order in which they are first named."""
    found: list[str] = []
    waiting = [schema]
    while waiting:
        part = waiting.pop(0)
        for name in _named(part["properties"]):
            if name not in found:
                found.append(name)
                waiting.append(schema["$defs"][name])
    return found


def _named(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("$ref"), str):
            yield value["$ref"].rpartition("/")[2]
        for inner in value.values():
            yield from _named(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _named(inner)


def _part(title: str, part: dict[str, Any]) -> Iterator[str]:
    yield f"## {title}\n\n{part['description']}\n"
    yield "| key | holds | what it is |\n|---|---|---|"
    for key, value in part["properties"].items():
        optional = "" if key in part["required"] else ", optional"
        yield f"| `{key}` | {_holds(value)}{optional} | {value['description']} |"
    yield ""


def _holds(value: dict[str, Any]) -> str:
    """What a value is, in a word or two."""
    if "$ref" in value:
        return value["$ref"].rpartition("/")[2].removesuffix("Data")
    if "anyOf" in value:
        kinds = [_holds(one) for one in value["anyOf"]]
        return " or ".join(kind for kind in kinds if kind != "null" or "default" not in value)
    if "const" in value:
        return f"`{value['const']}`"
    if "enum" in value:
        return " or ".join(f"`{one}`" for one in value["enum"])
    if value["type"] == "array":
        if "prefixItems" in value:
            return f"{len(value['prefixItems'])} {value['prefixItems'][0]['type']}s"
        return f"list of {_holds(value['items'])}"
    if value["type"] == "object":
        return f"object: name to {_holds(value['additionalProperties'])}"
    return str(value["type"])
