"""The design file's knees under the deck: quarter knees and hanging knees."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.models import Part
from patterns.design.quantities import Laminations, Length, Lengths, Wood, Words

__all__ = ["HangingKneeSpec", "QuarterKneeSpec"]


class QuarterKneeSpec(Part):
    """The knee in the transom's upper corner, between the clamp and the transom's inner face."""

    kind: Literal["quarter knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="quarter knee", description="Its name, if it is not simply its kind.")
    lies: Literal["under the deck", "level"] = Field(
        default="under the deck",
        description="under the deck: its top goes through the deck's underside at the corner and both toes, as "
        "high as the deck lets it; level: as high as the deck lets it.",
    )
    along_clamp: Length = Field(description="The length of the arm along the clamp.")
    along_transom: Length = Field(description="The length of the arm along the transom.")
    throat: Length = Field(description="The depth from the corner to the inner curve.")
    toe: Wood = Field(description="The least width of each arm's end.")
    sided: Wood = Field(description="Its whole thickness.")
    stock: Words = Field(description="Its wood, as it stands in the cut list.")
    laminations: Laminations = Field(default=1, description="How many laminations make up its thickness.")
    bolts_clamp: Lengths = Field(
        default=(), description='Where bolts go through the arm on the clamp, from the corner, as ["90 mm"].'
    )
    bolts_transom: Lengths = Field(default=(), description="The same for the arm on the transom.")


class HangingKneeSpec(Part):
    """The upright knee under a beam, between its underside and the inside of the side's planking."""

    kind: Literal["hanging knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="hanging knee", description="Its name, if it is not simply its kind.")
    under: Words = Field(description="The beam that it stands under; it stands in the middle of its siding.")
    along_beam: Length = Field(description="The length of the arm under the beam.")
    down_side: Length = Field(description="The length of the arm down the side.")
    throat: Length = Field(description="The depth from the corner to the inner curve.")
    toe: Wood = Field(description="The least width of each arm's end.")
    sided: Wood = Field(description="Its whole thickness fore and aft.")
    stock: Words = Field(description="Its wood, as it stands in the cut list.")
    laminations: Laminations = Field(default=1, description="How many laminations make up its siding.")
    bolts_beam: Lengths = Field(
        default=(),
        description='Where bolts go through the arm under the beam, from the corner, as ["90 mm"].',
    )
    bolts_side: Lengths = Field(default=(), description="The same for the arm down the side.")
