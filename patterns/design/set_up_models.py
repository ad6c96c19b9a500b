"""How the boat is set up for building, as the design file says it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import Length, Position, Wood, Words

__all__ = ["LEG_KEYS", "SetUpSpec"]

LEG_KEYS = ("leg", "leg_sided", "leg_lap", "leg_face", "leg_stock")


class SetUpSpec(Part):
    """The set-up line: one level to which every frame is set, upside down or upright."""

    line: Position = Field(
        description="The set-up line's height above base; above the sheer for building upside down."
    )
    leg: Wood | None = Field(
        default=None,
        description="The breadth of the legs that hold each frame at the set-up line; left out if there are none.",
    )
    leg_sided: Wood | None = Field(default=None, description="The legs' thickness fore and aft.")
    leg_lap: Length | None = Field(
        default=None, description="How far below the sheer the legs reach down on the frame."
    )
    leg_face: Literal["forward", "after"] | None = Field(
        default=None, description="On which face of the frames they are fastened."
    )
    leg_stock: Words | None = Field(default=None, description="Their wood: cheap, it is taken out again.")
    cross_piece: Wood | None = Field(
        default=None,
        description="The depth of a piece across the legs' heads, one edge on the set-up line; left out if none.",
    )
