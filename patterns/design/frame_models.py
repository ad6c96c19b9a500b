"""How a built frame is made up, and the gussets on its joints, as the design file says it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StrictBool, StrictInt

from patterns.design.part import Part
from patterns.design.quantities import (
    Length,
    Names,
    NotNegative,
    Planking,
    Position,
    Wood,
    Words,
    shown,
    trouble,
)
from patterns.design.refs import Ref

__all__ = ["Count", "FrameMake", "GussetSpec"]

MOST_HOLES = 20


def _count(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_HOLES:
        raise trouble(
            f"{shown(value)} is not a valid number of holes",
            f"write a whole number from 1 to {MOST_HOLES}, e.g. 2",
            code="invalid-value",
        )
    return value


Count = Annotated[StrictInt, BeforeValidator(_count)]


class FrameMake(Part):
    """How a frame is made up: in one, or of futtocks, one to each strake."""

    pieces: Literal["one ring", "bottom in halves", "bottom across", "no bottom piece"] = Field(
        default="one ring",
        description="What it is made of: one ring; a futtock to each strake, those of the bottom joined on the "
        "centreline (four pieces with one chine); the same with one bottom piece across (three); or without a "
        "bottom piece, a floor timber taking its place.",
    )
    joint: Literal["butt", "half lap", "mitre"] | None = Field(
        default=None, description="How its futtocks meet at each chine (and a top piece at the sheer)."
    )
    through: Literal["lower", "upper"] | None = Field(
        default=None,
        description="Which futtock of a joint runs through to the planking, the lower or the upper; in a half lap "
        "which one keeps the moulded face.",
    )
    top_piece: Wood | None = Field(
        default=None, description="The depth of a piece across under the deck; left out if there is none."
    )
    inner_edge: Literal["parallel", "straight"] = Field(
        default="parallel",
        description="Whether a futtock's inner edge runs parallel to the planking or straight.",
    )
    inner_line: tuple[tuple[NotNegative, Position], ...] = Field(
        default=(),
        description="The inner edge by points instead of the mouldings, from the centreline out and up: each its "
        'half-breadth and its height, as [["0 mm", "250 mm"], ["600 mm", "300 mm"], ["750 mm", "800 mm"]]. It runs '
        "straight from point to point, level to the centreline and plumb above the last. For one ring.",
    )
    inner_radius: NotNegative = Field(
        default=0.0, description="The radius to which its inner corners are rounded."
    )
    limber_holes: Wood | None = Field(
        default=None,
        description="The diameter of half-round limber holes in its planking edge; left out if there are none.",
    )
    limber_at: Annotated[Names, Ref("timber", places=False)] = Field(
        default=(), description='The timbers beside which a limber hole lies, as ["keel", "chine log"].'
    )
    lap_dowel: Wood | None = Field(
        default=None, description="The diameter of dowels through each half lap; left out if there are none."
    )
    lap_dowels: Count | None = Field(default=None, description="How many dowels go through each half lap.")
    lap_dowel_edge: Wood | None = Field(
        default=None, description="How far those dowels' centres keep from every edge and from each other."
    )
    assembly: StrictBool = Field(
        default=False,
        description="Draw the frame put together as well, to lay its pieces on, where it is of several; left out, "
        "its breadths, diagonals and heights are given to put it together on a bare board.",
    )


class GussetSpec(Part):
    """The gussets on the joints of frames: ply plates of one kind."""

    name: Words = Field(default="gusset", description="A name, if the design has more than one kind.")
    frames: Annotated[Names, Ref("frame")] = Field(description='The frames that have them, as ["3", "4"].')
    faces: Literal["forward", "after", "both"] = Field(
        description="On which face of the frame they lie, the forward one, the after one or both."
    )
    thickness: Planking = Field(description="Their thickness.")
    stock: Words = Field(description="Their wood, as named in the cut list.")
    arm: Length = Field(description="The length of each arm along the planking, from the joint's corner.")
    centre_arm: Length | None = Field(
        default=None,
        description="How far a gusset on the centreline runs out to each side; left out if there is none.",
    )
    inner: Literal["straight", "along the frame"] = Field(
        description="How the inner edge runs: straight from arm to arm, or along the frame's own inner edge."
    )
    margin: Wood | None = Field(
        default=None, description="How far from the edges the line for the fastenings is drawn, if it is."
    )
    station_line: Literal["frame", "gusset"] = Field(
        description="On which the station line lies: the frame's own moulded face, or the outer face of the gusset "
        "on that side."
    )
    dowel: Wood | None = Field(
        default=None, description="The diameter of dowels through each arm; left out if there are none."
    )
    dowels: Count | None = Field(default=None, description="How many dowels go through each arm.")
    dowel_edge: Wood | None = Field(
        default=None, description="How far the dowels' centres keep from every edge and from each other."
    )
