"""Floor timbers, as the design file says them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from patterns.design.quantities import (
    At,
    Length,
    Names,
    NotNegative,
    Position,
    Positions,
    Wood,
    Words,
)
from patterns.design.refs import Ref
from patterns.design.shared_keys import SidedKeys

__all__ = ["FloorSpec"]


class FloorSpec(SidedKeys):
    """A floor timber: it ties the two sides together across the keel."""

    name: Words = Field(description="The floor timber's name or number.")
    frame: Annotated[Words | None, Ref("frame")] = Field(
        default=None, description="The frame that it lies against; left out where it stands alone."
    )
    face: Literal["forward", "after"] | None = Field(
        default=None, description="On which face of that frame it lies."
    )
    at: At | None = Field(
        default=None,
        description='Where it stands alone: its moulded face\'s station, as "station 3", or distance aft.',
    )
    siding_runs: Literal["forward", "aft"] | None = Field(
        default=None,
        description="Where it stands alone, which way its thickness runs from the moulded face; left out, away "
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
    limber_at: Annotated[Names, Ref("timber")] = Field(
        default=(), description='The timbers beside which a limber hole lies, as ["keel"].'
    )
    bolts: Positions = Field(
        default=(),
        description='How far out from the centreline the lines of bolts are drawn, as ["0 mm", "150 mm"].',
    )
