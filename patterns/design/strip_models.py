"""How a hull is planked in strips, as the design file says it."""

from __future__ import annotations

from pydantic import Field

from patterns.design.part import Part
from patterns.design.quantities import Position, Wood

__all__ = ["StripsSpec"]


class StripsSpec(Part):
    """Strip planking over moulds: how many strips it takes, and where the first one lies on each mould."""

    width: Wood = Field(description="By how much each strip covers the girth.")
    first: Position | None = Field(
        default=None,
        description="The height above base at which the first strip's lower edge lies level from end to end; left "
        "out, the first strip lies along the sheer.",
    )
