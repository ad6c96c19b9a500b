"""What the keys of floor timbers must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.floor_models import FloorSpec
from patterns.design.frame_rules import limber_problems
from patterns.design.parts import Parts
from patterns.errors import Problem
from patterns.words import nearest, written

__all__ = ["floor_problems"]


def floor_problems(parts: Parts) -> Iterator[Problem]:
    """Every disagreement."""
    timbers = [str(getattr(timber, "name", "")) for _, timber in parts.entries.get("timber", [])]
    for place, floor in parts.all(FloorSpec):
        yield from _stands(place, floor, parts)
        yield from _shape(place, floor)
        yield from limber_problems(place, floor, timbers)


def _stands(place: str, floor: FloorSpec, parts: Parts) -> Iterator[Problem]:
    if (floor.frame is None) == (floor.at is None):
        both = floor.frame is not None
        yield Problem(
            f"{place}, key {'at' if both else 'frame'}",
            "frame and at both stand there" if both else "is missing",
            "keep one of them" if both else "name the frame that it lies against, or give at",
            code="conflicting-keys" if both else "needed-key",
        )
    if floor.frame is not None:
        named = parts.names.get("frame", [])
        if floor.frame not in named:
            yield Problem(
                f"{place}, key frame",
                f'there is no frame "{floor.frame}"',
                nearest(floor.frame, named) or (f"frames: {written(named)}" if named else ""),
                code="unknown-name",
            )
        if floor.face is None:
            yield Problem(f"{place}, key face", "is missing", 'write "forward" or "after"', code="needed-key")
        if floor.siding_runs is not None:
            yield Problem(
                f"{place}, key siding_runs",
                "its wood runs away from the frame that it lies against",
                "take it out",
                code="needless-key",
            )
    elif floor.face is not None:
        yield Problem(
            f"{place}, key face",
            "it lies against no frame",
            "name the frame, or take it out",
            code="needless-key",
        )


def _shape(place: str, floor: FloorSpec) -> Iterator[Problem]:
    if (floor.arm is None) == (floor.up_to is None):
        both = floor.arm is not None
        yield Problem(
            f"{place}, key {'up_to' if both else 'arm'}",
            "arm and up_to both stand there" if both else "is missing",
            "keep one of them"
            if both
            else "say how far its arms run: arm along the bottom, or up_to a height",
            code="conflicting-keys" if both else "needed-key",
        )
        return
    wanted = {"top": floor.arm is not None, "toe": floor.up_to is not None or floor.top == "curved"}
    for key, needed in wanted.items():
        given = getattr(floor, key) is not None
        if needed and not given:
            means = "level or curved" if key == "top" else "the depth of an arm at its end"
            yield Problem(f"{place}, key {key}", "is missing", f"give {means}", code="needed-key")
        elif given and not needed:
            why = "its arms run up the sides" if key == "top" else "its top runs level to the arm's end"
            yield Problem(f"{place}, key {key}", why, "take it out", code="needless-key")
