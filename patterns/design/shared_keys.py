"""Keys that many kinds of member share, declared once."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import Laminations, Length, Wood, Words

__all__ = ["KneeKeys", "LongKeys", "PrintedKeys", "SidedKeys", "StockKeys"]


class PrintedKeys(Part):
    """A piece that may be too long to be taped."""

    print: Literal["by ordinates", "whole"] = Field(
        default="by ordinates",
        description="By ordinates, a piece longer than 1.5 m comes as a page of ordinates from a straight base "
        "line, and full-size pages for its ends, laps, notches and scarfs alone; whole, all of it is printed full "
        "size.",
    )


class StockKeys(Part):
    """What a piece is sawn of."""

    stock: Words = Field(description="Its wood, as named in the cut list.")
    laminations: Laminations = Field(
        default=1, description="How many laminations make up its thickness between its two faces."
    )


class SidedKeys(StockKeys):
    """A piece that is flat on both faces."""

    sided: Wood = Field(
        description="Its whole thickness between its two faces: fore and aft of frames and beams, athwartships of "
        "keel, stem and their knees."
    )


class KneeKeys(SidedKeys):
    """A knee of any kind."""

    throat: Length = Field(description="The depth from the corner to the inner curve.")
    toe: Wood = Field(description="The least width of each arm's end.")


class LongKeys(Part):
    """A long timber, which may be bent in lamination by lamination."""

    laminations: Laminations = Field(
        default=1, description="How many laminations, bent in one on another, make up its depth."
    )
    stock: Words | Literal[""] = Field(default="", description="Its wood, as named in the cut list.")
