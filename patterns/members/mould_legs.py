"""The legs that hold a mould at the set-up line, and the piece across their heads: straight sticks with marks.

They are lapped on the mould's arms below its heads.  Only where the design asks for it are they one with the mould
and drawn full size.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.flat import overlays
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed

__all__ = ["LEG_WORDS", "MouldLegs", "outermost"]

FAR = 1e5  # mm; farther out than any boat
CRUMB = 1.0  # mm2, mm; lesser parts are rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldLegs:
    """The two legs of a mould, in its plane, mm.

    Attributes:
        side: from the centreline to their outer edges.
        wide: their breadth; as thick as the mould.
        foot, head, top: the v of their feet, of the mould's heads and of the set-up line.
        across: the depth of the piece across their heads; None where there is none.
    """

    side: float
    wide: float
    foot: float
    head: float
    top: float
    across: float | None

    def lines(self) -> tuple[Scribed, ...]:
        """Where the starboard one lies on its arm: both edges and the foot."""
        inner = self.side - self.wide
        points = np.array(
            [[inner, self.head], [inner, self.foot], [self.side, self.foot], [self.side, self.head]]
        )
        return (Scribed(fact=Fact("mould-leg-lands"), points=points),)

    def fact(self, stock: str, sided: float) -> Fact:
        """For the bench."""
        return Fact(
            "mould-legs",
            {
                "stock": stock,
                "wide": self.wide,
                "sided": sided,
                "long": self.top - self.foot,
                "lap": self.head - self.foot,
                "over": self.top - self.head,
                "out": self.side,
                "across": self.across,
            },
        )


def _legs(v: Mapping[str, Any], lengths: Lengths) -> str:
    words = (
        f"Legs: 2 of {v['stock']}, {v['wide']:g} x {v['sided']:g} mm, {v['long']:.1f} mm long, on the other face, "
        f"plumb, outer edges {lengths(v['out'])} from the centreline, lapped {v['lap']:g} mm on the mould below "
        f"its heads; the heads lie {lengths(v['over'])} from the set-up line, on which the legs end"
    )
    if v["across"] is None:
        return words
    return (
        f"{words}; across their ends {v['across']:g} x {v['sided']:g} mm, {2.0 * v['out']:.1f} mm long, its edge "
        "on the set-up line"
    )


def outermost(half: Polygon, foot: float, head: float) -> float:
    """How far out a plumb stick may stand between two levels without standing outside of a mould's edge, mm.

    Args:
        half: all that lies inside of that edge.
    """
    outside = overlays.difference(shapely.box(0.0, foot, FAR, head), half)
    parts = [
        part.bounds[0] for part in shapely.get_parts(outside) if part.area > CRUMB and part.bounds[0] > CRUMB
    ]
    return float(min(parts))


LEG_WORDS: Mapping[str, Template] = {
    "mould-legs": _legs,
    "mould-leg-lands": lambda _, __: "leg",
}
