"""The stem, as the design file says it: how it is built, jointed and set on the keel."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.quantities import (
    FileName,
    Length,
    NotNegative,
    Positions,
    ScarfRatio,
    Wood,
)
from patterns.design.shared_keys import SidedKeys

__all__ = ["StemEnd"]


class StemEnd(SidedKeys):
    """A stem at the bow, or at the stern of a double-ender."""

    at: Literal["bow", "stern"] = Field(description="Which end this is.")
    kind: Literal["stem"] = Field(description="What is at this end.")
    profile: FileName | None = Field(
        default=None,
        description="The file in this folder with the rabbet's own points: measured,height,aft,knuckle. Left out "
        "where the plan has none: the rabbet then runs through the lines' own ends, and check warns how little "
        "is known between them.",
    )
    moulded: Wood = Field(
        description="The depth of the stem (or of the inner stem) inward from the rabbet line, square to it."
    )
    construction: Literal["rabbeted", "inner and outer"] = Field(
        description="rabbeted: one stem with a rabbet cut into it; inner and outer: an inner stem bevelled "
        "for the planking and an outer one added afterwards."
    )
    outside: Wood = Field(
        description="The depth of the wood outside of the rabbet line, square to it: the forward part of a "
        "rabbeted stem, or the outer stem."
    )
    foot: Length = Field(description="How far aft, along the profile line, the stem's piece ends.")
    head: NotNegative = Field(
        default=50.0, description="Spare length left above the deck's underside, to be cut off later."
    )
    joint: Literal["butt", "heel on the keel", "scarf"] = Field(
        default="butt",
        description="How the stem's foot meets the keel. butt: it ends square across; heel on the keel: its heel "
        "runs on along the keel's top to where its after face meets it; scarf: a slope from the keel's top, at "
        "the foot, forward and down to the stem's face.",
    )
    scarf_ratio: ScarfRatio | None = Field(
        default=None,
        description='The length of every scarf of the stem against the depth that it crosses, e.g. "8:1".',
    )
    scarfs: Positions = Field(
        default=(),
        description="Heights on the rabbet line at which a sawn stem (or inner stem) is scarfed together, e.g. "
        '["1-6-0"].',
    )
    stagger: Length | None = Field(
        default=None,
        description="With laminations: how much farther down the rabbet line the scarfs of every second one lie.",
    )
    outer_scarfs: Positions = Field(default=(), description="The same as scarfs, for the outer stem.")
    strips: Wood | None = Field(
        default=None,
        description="The thickness of the strips, where the stem (or inner stem) is laminated over a mould.",
    )
    outer_strips: Wood | None = Field(default=None, description="The same as strips, for the outer stem.")
    mould_spare: NotNegative = Field(
        default=100.0, description="Spare length at both ends of the strips and of their mould."
    )

    @property
    def depth(self) -> float:
        """The depth of the stem, or of the inner stem, square to the rabbet line, mm."""
        return self.moulded + (self.outside if self.construction == "rabbeted" else 0.0)
