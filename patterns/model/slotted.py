"""A slotted model: an upright board along the middle, sections across, slots half-way into each."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat.overlays import difference, intersection, union
from patterns.model.piece import ModelPiece, outlines_of
from patterns.model.solid import HullSolid

__all__ = ["backbone", "section_piece", "slotted_pieces", "whole_section"]

SAMPLES = 400  # places along the middle board
WIDE = 2.0  # thicknesses that a section must be wide on each side, or its slot would leave nothing beside it
LEAST = 0.25  # of the greatest height; a section that is lower has no room for a slot


def backbone(solid: HullSolid) -> Any:
    """The hull's outline in her middle plane, keel and stem below, sheer above: an area in x and z, mm."""
    fore, aft = solid.ends
    hair = 1e-4 * (aft - fore)
    places = np.linspace(fore + hair, aft - hair, SAMPLES)
    bounds = [(float(x), solid.section(float(x)).bounds) for x in places]
    found = np.array([(x, low, high) for x, (low, _, high, _) in bounds if np.isfinite(low)])
    return shapely.Polygon(np.vstack([found[:, [0, 1]], found[::-1][:, [0, 2]]]))


def whole_section(solid: HullSolid, x: float, thick: float) -> Any:
    """The whole section across that a board of a thickness, its middle at ``x``, may have: in y and z, mm.

    It is what both faces and the middle share, so that no edge is outside of the hull.
    """
    half = intersection(*[solid.section(at) for at in (x, x - 0.5 * thick, x + 0.5 * thick)])
    turned = shapely.transform(half, lambda points: points[:, ::-1])
    other = shapely.transform(turned, lambda points: points * (-1.0, 1.0))
    return union(turned, other)


def _middle(section: Any) -> tuple[float, float]:
    """The lowest and the highest place of a section in the middle plane."""
    line = shapely.LineString([(0.0, -1e5), (0.0, 1e5)])
    _, low, _, high = intersection(line, section).bounds
    return low, high


def section_piece(section: Any, thick: float) -> Any:
    """A section with its slot, from below up to half its height in the middle."""
    low, high = _middle(section)
    return difference(section, shapely.box(-0.5 * thick, low - 1e3, 0.5 * thick, 0.5 * (low + high)))


def slotted_pieces(boat: Boat, solid: HullSolid, thick: float, stock: str) -> tuple[ModelPiece, ...]:
    """The middle board and a section for each station.

    Args:
        thick: the boards' thickness in the boat's own mm: the model's times its scale.
    """
    board = backbone(solid)
    fore, aft = solid.ends
    most = solid.high - solid.low
    pieces = []
    stations = []
    for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True):
        if not fore + thick < x < aft - thick:
            continue
        section = whole_section(solid, float(x), thick)
        if section.is_empty or _height(section) < LEAST * most or section.bounds[2] < WIDE * thick:
            continue
        low, high = _middle(section)
        board = difference(
            board, shapely.box(x - 0.5 * thick, 0.5 * (low + high), x + 0.5 * thick, high + 1e3)
        )
        stations.append((name, float(x), low))
        pieces.append(
            ModelPiece(
                name=f"section at station {name}",
                count=1,
                stock=stock,
                outlines=outlines_of(section_piece(section, thick)),
                words=((f"station {name}", (0.0, high)),),
            )
        )
    return (
        ModelPiece(
            name="middle board", count=1, stock=stock, outlines=outlines_of(board),
            words=tuple((name, (x, low)) for name, x, low in stations),
        ),
        *pieces,
    )  # fmt: skip


def _height(section: Any) -> float:
    low, high = _middle(section)
    return high - low
