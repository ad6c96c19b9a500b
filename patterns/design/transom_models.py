"""What is fitted to the transom besides its panel and framing, as the design file says it."""

from __future__ import annotations

from pydantic import Field

from patterns.design.models import Part
from patterns.design.quantities import Length, NotNegative, Wood, Words
from patterns.design.shared_keys import StockKeys

__all__ = ["CutOutSpec", "DoublerSpec"]


class DoublerSpec(StockKeys):
    """A doubler for an engine: wood on the panel's inside, in the framing's layer, from the top edge down."""

    breadth: Length = Field(description="Its whole breadth athwartships, centred.")
    depth: Length = Field(description="How far it reaches down from the panel's top edge on the centreline.")
    thickness: Wood = Field(description="Its whole thickness.")


class CutOutSpec(Part):
    """A cut-out through the transom, for an engine or a rudder: centred, square through all that is there."""

    name: Words = Field(description="What it is for, as engine.")
    breadth: Length = Field(description="Its whole breadth athwartships.")
    depth: Length = Field(description="Its depth, measured down the panel on the centreline.")
    below: NotNegative = Field(
        default=0.0,
        description="How far under the panel's top edge it begins; 0 is open at the top.",
    )
    corner_radius: NotNegative = Field(default=0.0, description="The radius of its corners.")
