"""What the keys of floor timbers must agree on, and their usual sizes.

Apart from the floor timber's own file, which is about its wood; the keys are in
:mod:`patterns.design.floor_models`, because the joints of frames are looked at with them.
"""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.agreement import either, limber_problems
from patterns.design.bounds import Bound, Scale, most_siding
from patterns.design.entries import Parts
from patterns.design.floor_models import FloorSpec
from patterns.errors import Problem

__all__ = ["floor_bounds", "floor_rules"]


def floor_rules(parts: Parts) -> Iterator[Problem]:
    """Every disagreement."""
    for place, floor in parts.all(FloorSpec):
        yield from _stands(place, floor)
        yield from _shape(place, floor)
        yield from limber_problems(place, floor)


def _stands(place: str, floor: FloorSpec) -> Iterator[Problem]:
    where = {"frame": floor.frame, "at": floor.at}
    yield from either(place, where, "name the frame that it lies against, or give at", at="at")
    if floor.frame is not None:
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
    arms = {"arm": floor.arm, "up_to": floor.up_to}
    yield from either(
        place, arms, "say how far its arms run: arm along the bottom, or up_to a height", at="up_to"
    )
    if (floor.arm is None) == (floor.up_to is None):
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


def floor_bounds(floor: FloorSpec, scale: Scale) -> Iterator[Bound]:
    """The usual sizes of a floor timber."""
    yield Bound("sided", floor.sided, 0.5 * scale.thick, most_siding(scale), "planking and boat")
    yield Bound("moulded", floor.moulded, 0.6 * floor.sided, 0.5 * scale.breadth, "siding and breadth")
    yield Bound("arm", floor.arm, 2.0 * floor.sided, 0.5 * scale.breadth, "siding and breadth")
    yield Bound("toe", floor.toe, 0.15 * floor.moulded, floor.moulded, "its moulding")
    yield Bound("inner_radius", floor.inner_radius, 0.0, 4.0 * floor.moulded, "its moulding")
