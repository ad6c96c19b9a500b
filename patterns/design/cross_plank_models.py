"""A bottom planked across, as the design file says it."""

from __future__ import annotations

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import NotNegative, Wood, Words

__all__ = ["CrossPlanksSpec"]


class CrossPlanksSpec(Part):
    """A flat bottom of planks laid across: they are sawn to rough lengths and trimmed to the sides in place."""

    width: Wood = Field(description="The width of one plank, fore and aft.")
    trim: NotNegative = Field(description="How much each end runs past the outside of the sides' planking.")
    stock: Words = Field(description="Their wood, as named in the cut list.")
