"""Where an area of wood is broadest: room for its name and for arrows."""

from __future__ import annotations

import shapely
from shapely.geometry import Point, Polygon

from patterns.flat.shapes import parts_of

__all__ = ["roomiest"]

HALVINGS = 11
NEARLY = 0.9  # of the greatest room; along a strip all places have it, and the middle of them is taken
ALIKE = 1.01  # two regions whose areas differ by less are equally large
ASLANT = 0.317  # how far up counts against how far right, where two regions are equally large


def roomiest(area: Polygon) -> tuple[float, float, float]:
    """A place where the wood is nearly as broad as anywhere, and the radius of the greatest circle in it, mm.

    The place moves as little as the outline does: among equally broad places, as along a strip, it is the middle.
    """
    x0, y0, x1, y1 = area.bounds
    low, high = 0.0, 0.5 * min(x1 - x0, y1 - y0)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if shapely.buffer(area, -middle).is_empty else (middle, high)
    regions = parts_of(shapely.buffer(area, -NEARLY * low), least=0.0)
    if not regions:
        return (*_place(area), low)
    most = max(region.area for region in regions)
    equal = [region for region in regions if ALIKE * region.area >= most]
    return (*min((_place(region) for region in equal), key=_aslant), low)


def _aslant(place: tuple[float, float]) -> float:
    return place[0] + ASLANT * place[1]


def _place(area: Polygon) -> tuple[float, float]:
    """The middle of an area, or the place in it that is nearest to that."""
    middle: Point = area.centroid
    x, y = shapely.get_coordinates(shapely.shortest_line(area, middle))[0].tolist()
    return x, y
