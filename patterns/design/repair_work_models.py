"""What a repair's frame has besides its outline: notches for the timbers that pass it, gussets over its joints."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import Length, Planking, Position, Wood, Words
from patterns.design.repair_models import PointName

__all__ = ["CENTRELINE", "KeepClearSpec", "NotchSpec", "RepairGussetSpec"]

CENTRELINE = "centreline"


class NotchSpec(Part):
    """A notch in the frame's edge for a timber that passes it, as it was measured on the old frame.

    It is cut in every piece, gusset and fit-up strip that lies there, on both faces, beside the planking.
    """

    name: Words = Field(description='What lies in it, e.g. "chine log"; it is lettered there.')
    at: PointName = Field(
        description="The point of the points' file that it is measured from, or what is at a corner, e.g. "
        '"chine"; "centreline" for what lies on the keel\'s line.'
    )
    against: Words | None = Field(
        default=None,
        description="The stretch of the edge that the timber lies on, as the points' file calls it; left out on "
        "the centreline.",
    )
    off: Wood = Field(
        description="How far the notch goes in, square to the planking; on the centreline, up from the heel."
    )
    along: Wood = Field(
        description="Its breadth along the planking; on the centreline its whole breadth across."
    )
    distance: Position | None = Field(
        default=None,
        description="From that point along the planking up to its middle (down: less than 0). Left out, it begins "
        "at the point, a corner or an end of the stretch.",
    )
    side: Literal["port", "starboard", "both"] = Field(default="both", description="On which side it is.")


class KeepClearSpec(Part):
    """A plank seam or an old fastening as it was measured: where the new frame is not to be bored.

    It is a line across both faces of every piece, and of every fit-up strip, that lies there.
    """

    name: Words = Field(description='What is there, e.g. "seam 3" or "old bolt"; it is lettered there.')
    at: PointName = Field(description="The point of the points' file that it is measured from.")
    distance: Position | None = Field(
        default=None, description="How far from that point along the planking up to it (down: less than 0)."
    )
    side: Literal["port", "starboard", "both"] = Field(default="both", description="On which side it is.")


class RepairGussetSpec(Part):
    """In a repair, a plate over a joint of the new frame: at a corner, or across the keel."""

    at: PointName = Field(
        description='The corner that it lies over, e.g. "chine", or its point\'s name; "centreline" for a plate '
        "across both sides' heels."
    )
    name: Words = Field(default="gusset", description="What it is called on its pattern.")
    faces: Literal["forward", "after", "both"] = Field(
        description="On which face of the frame it lies, the forward one, the after one or both."
    )
    thickness: Planking = Field(description="Its thickness.")
    stock: Words = Field(description="Its wood.")
    arm: Length = Field(
        description="The length of each arm along the planking, from the corner; on the centreline, from each heel."
    )
    inner: Literal["straight", "along the frame"] = Field(
        default="straight",
        description="How the inner edge runs: straight from arm to arm, or along the frame's own inner edge.",
    )
    moulded: Wood | None = Field(
        default=None,
        description="Its depth in from the planking at the arms' ends; left out, the frame's own moulding.",
    )
    side: Literal["port", "starboard", "both"] = Field(
        default="both", description="On which side it is made."
    )
