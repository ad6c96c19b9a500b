"""The stock in the rack, as the design file says it: sheets of plywood and boards."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from patterns.design.models import Part
from patterns.design.quantities import Length, NotNegative, ScarfRatio, Wood, Words
from patterns.design.water_quantities import WoodDensity

__all__ = ["StockSpec"]


class StockSpec(Part):
    """One kind of stock, of which pieces are sawn."""

    name: Words = Field(description="What the pieces call it: their own stock, word for word.")
    kind: Literal["sheet", "board"] = Field(description="sheet: plywood; board: sawn timber.")
    thickness: Wood = Field(description="Its thickness.")
    length: Length = Field(description="The length of one sheet or board.")
    breadth: Length = Field(description="The breadth of one sheet or board.")
    grain: Literal["along length", "along breadth", "either"] = Field(
        default="along length",
        description="Which way the face grain runs; a piece that says its grain is laid by it. either: it does not "
        "matter.",
    )
    gap: NotNegative = Field(
        default=10.0, description="What is left between two pieces, and along the edges, for the saw."
    )
    scarf_ratio: ScarfRatio | None = Field(
        default=None,
        description='For pieces longer than the stock: the length of a scarf against its thickness, e.g. "12:1".',
    )
    density: WoodDensity | None = Field(
        default=None,
        description='For weights: how heavy it is, e.g. "530 kg/m3"; left out, no weight is given.',
    )
