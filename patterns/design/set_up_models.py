"""How the boat is set up for building, as the design file says it."""

from __future__ import annotations

from pydantic import Field

from patterns.design.models import Part
from patterns.design.quantities import Position

__all__ = ["SetUpSpec"]


class SetUpSpec(Part):
    """The set-up line: one level to which every frame is set, upside down or upright."""

    line: Position = Field(
        description="The set-up line's height above base; above the sheer for building upside down."
    )
