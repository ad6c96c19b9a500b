"""The keys of floor timbers, what they must agree on, and their usual sizes.

Apart from the floor timber's own file, which is about its wood.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from patterns.design.agreement import either, limber_problems
from patterns.design.bounds import BoatSize, Bound, most_siding
from patterns.design.entries import Parts
from patterns.design.quantities import At, Length, Names, NotNegative, Position, Positions, Wood, Words
from patterns.design.refs import Ref
from patterns.design.shared_keys import SidedKeys
from patterns.errors import Problem

__all__ = ["FloorSpec", "floor_bounds", "floor_rules"]


class FloorSpec(SidedKeys):
    """A floor timber: it ties the two sides together across the keel."""

    name: Words = Field(description="The floor timber's name or number.")
    frame: Annotated[Words | None, Ref("frame")] = Field(
        default=None, description="The frame that it lies against; left out if it is on its own."
    )
    face: Literal["forward", "after"] | None = Field(
        default=None, description="On which face of that frame it lies."
    )
    at: At | None = Field(
        default=None,
        description='If it is on its own: its moulded face\'s station, e.g. "station 3", or distance aft.',
    )
    siding_runs: Literal["forward", "aft"] | None = Field(
        default=None,
        description="If it is on its own, which way its thickness runs from the moulded face; left out, away "
        "from the station of greatest breadth.",
    )
    moulded: Wood = Field(
        description="Its depth on the centreline, above the place where the insides of planking meet."
    )
    arm: Length | None = Field(
        default=None,
        description="The length of each arm out along the bottom's planking from the centreline.",
    )
    up_to: Position | None = Field(
        default=None,
        description="Instead of arm: the height above base up to which its arms run up the sides.",
    )
    top: Literal["level", "curved"] | None = Field(
        default=None,
        description="With arm: how its upper edge runs out from the centreline, level to the arm's end, or in a "
        "curve down to the toe.",
    )
    toe: Wood | None = Field(
        default=None,
        description="The depth of an arm at its end, square to the planking; not where top is level.",
    )
    inner_radius: NotNegative = Field(
        default=0.0, description="The radius to which its inner corners are rounded."
    )
    limber_holes: Wood | None = Field(
        default=None, description="The diameter of half-round limber holes; left out if there are none."
    )
    limber_at: Annotated[Names, Ref("timber", places=False)] = Field(
        default=(), description='The timbers beside which a limber hole lies, as ["keel"].'
    )
    bolts: Positions = Field(
        default=(),
        description='How far out from the centreline the lines of bolts are drawn, as ["0 mm", "150 mm"].',
    )


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


def floor_bounds(floor: FloorSpec, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a floor timber."""
    yield Bound("sided", floor.sided, 0.5 * scale.thick, most_siding(scale), "planking and boat")
    yield Bound("moulded", floor.moulded, 0.6 * floor.sided, 0.5 * scale.breadth, "siding and breadth")
    yield Bound("arm", floor.arm, 2.0 * floor.sided, 0.5 * scale.breadth, "siding and breadth")
    yield Bound("toe", floor.toe, 0.15 * floor.moulded, floor.moulded, "its moulding")
    yield Bound("inner_radius", floor.inner_radius, 0.0, 4.0 * floor.moulded, "its moulding")
