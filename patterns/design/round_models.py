"""The further rows of a round-bilge boat's table: waterlines, buttocks, diagonals, each with its level."""

from __future__ import annotations

from typing import Any

from pydantic import Field, field_validator

from patterns.design.models import Part
from patterns.design.quantities import Length, Position, Words, shown, trouble

__all__ = ["ButtockSpec", "DiagonalSpec", "LevelSpec", "Through", "WaterlineSpec"]


class WaterlineSpec(Part):
    """A level plane; the table's row half-breadth of this name lies in it."""

    name: Words = Field(description="The waterline's name, as the table's row has it.")
    height: Position = Field(description="Its height, measured the same way as the table's heights.")


class ButtockSpec(Part):
    """A plane parallel to the centreline plane; the table's row height of this name lies in it."""

    name: Words = Field(description="The buttock's name, as the table's row has it.")
    half_breadth: Length = Field(description="Its distance from the centreline.")


class Through(Part):
    """A point of the body plan."""

    half_breadth: Length = Field(description="How far out the diagonal is there.")
    height: Position = Field(description="Its height there, measured the same way as the table's heights.")


class DiagonalSpec(Part):
    """A plane through a line on the centreline; the table's row diagonal of this name is measured along it."""

    name: Words = Field(description="The diagonal's name, as the table's row has it.")
    height: Position = Field(
        description="Where it starts from the centreline, measured the same way as the table's heights."
    )
    through: Through = Field(
        description="A point of the body plan that it runs through, e.g. "
        '{half_breadth = "1-0-0", height = "0-9-0"}.'
    )

    @field_validator("through", mode="before")
    @classmethod
    def _a_point(cls, given: Any) -> Any:
        keys = ("half_breadth", "height")
        if not isinstance(given, dict) or set(given) != set(keys):
            raise trouble(
                f"{shown(given)} is not a valid point of the body plan",
                'write it as {half_breadth = "1-0-0", height = "0-9-0"}',
                code="invalid-value",
            )
        return given


LevelSpec = WaterlineSpec | ButtockSpec | DiagonalSpec
