"""The moulds that the boat is built over, as the design file says them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool

from patterns.design.models import Part
from patterns.design.quantities import At, Lengths, Names, NotNegative, Wood, Words
from patterns.design.refs import Ref

__all__ = ["MouldSpec"]


class MouldSpec(Part):
    """A mould: a temporary frame without bevels, taken out of the finished boat."""

    name: Words = Field(description="The mould's name or number.")
    at: At = Field(description='Where its moulded face is: a station, e.g. "station 3", or a distance aft.')
    sided: Wood = Field(description="Its whole thickness fore and aft.")
    moulded: Wood = Field(description="The depth of its ring inward from its edge.")
    siding_runs: Literal["forward", "aft"] | None = Field(
        default=None,
        description="Which way its thickness runs from the moulded face; left out, towards the station of "
        "greatest breadth, so that no corner is outside of the hull.",
    )
    ribbands: NotNegative = Field(
        default=0.0, description="Thickness of the ribbands that lie between mould and planking; 0 for none."
    )
    bent_frames: NotNegative = Field(
        default=0.0, description="Thickness of the frames bent in outside of the mould; 0 for none."
    )
    head: NotNegative = Field(default=40.0, description="How far its heads run up past the sheer.")
    legs: Wood | None = Field(
        default=None,
        description="Breadth of the legs from its heads up to the set-up line, for building upside down.",
    )
    legs_drawn: StrictBool = Field(
        default=False,
        description="Draw the legs, and the piece across them, full size in one with the mould; left out, they are "
        "straight sticks of the mould's own wood and are given by their lengths and marks.",
    )
    cross_piece: Wood | None = Field(
        default=None, description="Depth of the piece across at its top; left out if there is none."
    )
    lets_in: Annotated[Names, Ref("timber", places=False)] = Field(
        default=(),
        description='The timbers that are let into it besides keel and stem, as ["chine log"]: those that lie on '
        "the moulds while she is planked.",
    )
    plank_girths: Lengths = Field(
        default=(),
        description="Where the plan gives them, and there is no [lining]: the girth from the rabbet to each "
        'plank\'s upper edge, as ["110 mm", "215 mm"].',
    )
    stock: Words = Field(description="Its wood, as named in the cut list.")
