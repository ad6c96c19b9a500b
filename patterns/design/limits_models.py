"""The design file's limits: how near an edge a hole may lie, and how much wood must be left."""

from __future__ import annotations

from pydantic import Field

from patterns.design.models import Part
from patterns.design.quantities import Wood

__all__ = ["LimitsSpec"]


class LimitsSpec(Part):
    """The limits that the builder sets himself; what is left out is listed and not judged."""

    edge_distance: Wood | None = Field(
        default=None,
        description="The least distance from a dowel's or bolt's centre to any edge of its piece.",
    )
    spacing: Wood | None = Field(
        default=None,
        description="The least distance from centre to centre of two dowels or bolts of one piece.",
    )
    wood_left: Wood | None = Field(
        default=None, description="The least depth of wood that may be left under a notch."
    )
