"""How near the edges of a piece its holes lie, how near each other, and how much wood its notches leave.

Nothing is judged but by the limits of the design file: no rule for such distances is known that holds for every
wood and every fastening.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from patterns.design.file import DESIGN_FILE, Design
from patterns.design.limits_models import LimitsSpec
from patterns.errors import Problem
from patterns.pattern import Hole, Kind, Pattern

__all__ = ["HoleDistance", "hole_distances", "limit_problems"]

UNJUDGED = ("register hole", "flip point")  # they hold nothing together
CLOSE = 1e-6  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleDistance:
    """One hole of one piece.

    Attributes:
        hole: where it lies on the pattern.
        edge: from its centre to the nearest edge of either face, mm.
        spacing: from its centre to the nearest other hole's of the piece, mm; infinite where it is the only one.
    """

    hole: Hole
    edge: float
    spacing: float

    @property
    def joins(self) -> bool:
        """Whether it holds pieces together, as dowels and bolts do."""
        return self.hole.purpose not in UNJUDGED


def hole_distances(pattern: Pattern) -> tuple[HoleDistance, ...]:
    """Every hole but the flip points, measured against both faces' edges and the other holes of its purpose."""
    holes = [hole for hole in pattern.holes if hole.purpose != "flip point"]
    edges = [
        np.vstack([line.points, line.points[:1]]) if line.closed else line.points
        for kind in (Kind.SAW, Kind.FACE, Kind.OTHER)
        for line in pattern.of_kind(kind)
    ]
    if not holes or not edges:
        return ()
    wood = shapely.multilinestrings([shapely.linestrings(points) for points in edges])
    centres = shapely.points([hole.at for hole in holes])
    to_edge = shapely.distance(wood, centres)
    apart = shapely.distance(centres[:, None], centres[None])
    judged = np.array([hole.purpose not in UNJUDGED for hole in holes])
    apart[~(judged[:, None] & judged[None])] = np.inf
    np.fill_diagonal(apart, np.inf)
    return tuple(
        HoleDistance(hole=hole, edge=float(edge), spacing=float(nearest))
        for hole, edge, nearest in zip(holes, to_edge, apart.min(axis=1), strict=True)
    )


def limit_problems(design: Design, patterns: Sequence[Pattern]) -> list[Problem]:
    """Every hole and notch that goes past the limits of the design."""
    limits = next(iter(design.all(LimitsSpec)), LimitsSpec())
    found: list[Problem] = []
    for pattern in patterns:
        place = f"{DESIGN_FILE}, {pattern.name}"
        for distance in hole_distances(pattern):
            if not distance.joins:
                continue
            x, y = distance.hole.at
            where = f"the {distance.hole.purpose} at {x:.0f}, {y:.0f} mm"
            if limits.edge_distance is not None and distance.edge < limits.edge_distance - CLOSE:
                found.append(
                    Problem(
                        place,
                        f"{where} lies {distance.edge:.1f} mm from the nearest edge",
                        f"the limits ask for {limits.edge_distance:g} mm (key edge_distance)",
                        code="edge-distance-below-limit",
                    )
                )
            if limits.spacing is not None and distance.spacing < limits.spacing - CLOSE:
                found.append(
                    Problem(
                        place,
                        f"{where} lies {distance.spacing:.1f} mm from the next, centre to centre",
                        f"the limits ask for {limits.spacing:g} mm (key spacing)",
                        code="spacing-below-limit",
                    )
                )
        if limits.wood_left is not None:
            found += [
                Problem(
                    place,
                    f"the notch for the {timber} leaves {left:.1f} mm of wood",
                    f"the limits ask for {limits.wood_left:g} mm (key wood_left)",
                    code="wood-left-below-limit",
                )
                for timber, left in pattern.depth_left.items()
                if left < limits.wood_left - CLOSE
            ]
    return found
