"""Timbers that run along the planking beside no corner of it: stringers, battens, rubbing rails, ribbands."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from patterns.design.ended_keys import EndedKeys
from patterns.design.quantities import Length, NotNegative, Wood, Words, trouble
from patterns.design.refs import Ref

__all__ = [
    "BesideSpec",
    "DeckBattenSpec",
    "RibbandSpec",
    "RubbingRailSpec",
    "RunningSpec",
    "Share",
    "StripSpec",
]


def _share(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 1.0:
        raise trouble(
            "is not a part of the girth",
            "write a number between 0 and 1, e.g. 0.5 for half way",
            code="invalid-value",
        )
    return float(value)


Share = Annotated[float, BeforeValidator(_share)]


class RunningSpec(EndedKeys):
    """What every timber has that runs beside a line of the hull."""

    follows: Annotated[Words, Ref("line")] = Field(description="The line that it runs parallel to.")
    against: Annotated[Words, Ref("strake")] = Field(description="The strake that it lies on.")
    off: Wood = Field(description="Its thickness off the planking, square to it.")
    along: Wood = Field(description="Its width along the planking, across its run.")


class BesideSpec(RunningSpec):
    """A timber laid beside its line at a distance or at a part of the girth."""

    distance: NotNegative | None = Field(
        default=None,
        description="From the line to the middle of its width, on the planking, square to the line.",
    )
    part: Share | None = Field(
        default=None,
        description="Instead of distance: where its middle lies as a part of the strake's girth, square to the "
        "boat's length, from the line towards the strake's other line; 0.5 is half way.",
    )


class StripSpec(BesideSpec):
    """A timber that lies flat on the inside of a strake, let into the frames."""

    kind: Literal["stringer", "batten"] = Field(description="What the timber is.")


class RibbandSpec(BesideSpec):
    """A batten that is bent round the moulds while the boat is built; nothing is cut for it."""

    kind: Literal["ribband"] = Field(description="What the timber is.")
    inset: NotNegative = Field(
        description="From the inside of planking inward to its outer face: what is bent in between."
    )


class RubbingRailSpec(RunningSpec):
    """A rail on the outside of planking."""

    kind: Literal["rubbing rail"] = Field(description="What the timber is.")
    below: NotNegative = Field(
        default=0.0, description="From the line down to its upper edge, on the planking, square to the line."
    )


class DeckBattenSpec(EndedKeys):
    """A timber flat under the deck, parallel to the centreline, let into the beams that it crosses."""

    kind: Literal["deck batten"] = Field(description="What the timber is.")
    half_breadth: Length = Field(description="From the centreline to the middle of its width.")
    off: Wood = Field(description="Its thickness off the deck, square to it.")
    along: Wood = Field(description="Its width along the deck, across its run.")
