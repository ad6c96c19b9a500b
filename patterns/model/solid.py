"""The hull as a solid up to her sheer, cut by level planes and by planes athwartships: half outlines as areas.

The solid is the outside of planking with stem and keel between the rabbets, closed at the top straight across from
sheer to sheer.  What lies beyond the rabbet, as an outer stem, is not in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from patterns.errors import PatternsError
from patterns.flat.overlays import union
from patterns.hull.facets import below
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray
from patterns.hull.skin import skin_of

__all__ = ["HullSolid", "solid_of"]

X, Y, Z = 0, 1, 2
DIGITS = 4  # decimals of a mm to which the ends of edges are joined
HAIR = 0.02  # mm; wide as this, a gap between two runs of a section is closed
SLICES = 200  # level slices for the volume


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullSolid:
    """A hull's starboard half.

    Attributes:
        facets: of planking and transoms, (n, 3, 3), mm.
        least, most: the bounds of each facet, (n, 3).
    """

    facets: FloatArray
    least: FloatArray
    most: FloatArray

    @property
    def low(self) -> float:
        """The lowest place, mm above base."""
        return float(self.facets[:, :, Z].min())

    @property
    def high(self) -> float:
        """The highest place of the sheer."""
        return float(self.facets[:, :, Z].max())

    @property
    def ends(self) -> tuple[float, float]:
        """Its foremost and its aftmost place, mm aft of the table's origin."""
        return float(self.facets[:, :, X].min()), float(self.facets[:, :, X].max())

    def level(self, height: float) -> Any:
        """The half section at a height: an area in distance aft and half-breadth; empty where there is none."""
        return self._cut(Z, height, X)

    def section(self, x: float) -> Any:
        """The half section at a distance aft: an area in height and half-breadth."""
        return self._cut(X, x, Z)

    def volume(self, low: float, high: float) -> float:
        """Of the half between two heights, mm3, by level slices in their middles."""
        step = (high - low) / SLICES
        return float(step * sum(self.level(low + (i + 0.5) * step).area for i in range(SLICES)))

    def _cut(self, axis: int, at: float, along: int) -> Any:
        crossed = (self.least[:, axis] <= at) & (self.most[:, axis] > at)
        _, edges = below(self.facets[crossed], self.facets[crossed][:, :, axis] - at)
        points = edges[:, :, [along, Y]].round(DIGITS)
        points = points[(points[:, 0] != points[:, 1]).any(axis=1) & (points[:, :, 1] > 0.0).any(axis=1)]
        if not len(points):
            return shapely.Polygon()
        chains = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(points)))
        area = union(*[shapely.make_valid(_closed(shapely.get_coordinates(chain))) for chain in chains])
        # Strakes meet at a chine to a hair, and their runs of points may end there.
        wide = shapely.buffer(area, HAIR, join_style="mitre")
        return shapely.simplify(shapely.buffer(wide, -HAIR, join_style="mitre"), 0.1 * HAIR)


def solid_of(hull: Hull) -> HullSolid:
    """The solid of a hull.

    Raises:
        PatternsError: its surfaces are not whole.
    """
    facets = np.concatenate(skin_of(hull))
    if not np.isfinite(facets).all():
        raise PatternsError("the planking's surface has places that cannot be worked out")
    return HullSolid(facets=facets, least=facets.min(axis=1), most=facets.max(axis=1))


def _closed(chain: FloatArray) -> Any:
    """The area between a run of points (n, 2) and the centreline."""
    ends = [(chain[-1, 0], 0.0), (chain[0, 0], 0.0)]
    return shapely.Polygon(np.vstack([chain, ends]))
