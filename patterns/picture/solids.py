"""What is in the boat, as shapes for the view in space: plates between two faces, bars along their corners, skins.

Coordinates are whole mm: aft, outboard and up.  What is on both sides is given once, to starboard.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import numpy as np
import shapely

from patterns.assembly.edges import edge_of
from patterns.boat import Boat
from patterns.flat import overlays
from patterns.hull.curved import Curved
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray
from patterns.pattern import Body, Pattern
from patterns.timbers.run import Run

__all__ = ["Shape", "SolidPiece", "solid_pieces", "thinned_in_space", "whole_mm"]

EVEN = 0.8  # mm; finer steps of an outline cannot be seen
WALK = 120.0  # mm between partners on a straight edge
STRIP = 60.0  # mm of a bent face that count as flat
FAR = 1e5  # mm; past any boat
PARTS = slice(0, 2), slice(2, 4)  # of an outline's points and its partners
COARSE = 90.0  # mm between places of a timber
AROUND_STRAKE, ALONG_STRAKE, FINELY = 9, 24, 200  # places of a skin: across, along, to find its end

Shape: TypeAlias = dict[str, object]
"""One of three, ready for JSON: ``rings`` pairs of outlines; ``bar`` corners at each place; ``skin`` a grid."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SolidPiece:
    """A piece, a timber or a strake where it lies.

    Attributes:
        pattern: the number of its pattern among those given, from 0; -1 where it has none.
        group: what pieces of one tone have in common, e.g. ``futtock``.
        shapes: each as `Shape`.
        skin: it is planking, which hides what is inside.
    """

    name: str
    pattern: int
    group: str
    shapes: tuple[Shape, ...]
    skin: bool = False


def solid_pieces(boat: Boat, patterns: Sequence[Pattern]) -> tuple[SolidPiece, ...]:
    """Every piece with wood of its own, every timber, and the planking."""
    found = []
    for number, pattern in enumerate(patterns):
        bodies = [body for body in (pattern.body, *pattern.slabs) if body is not None]
        if bodies:
            shapes = tuple(shape for body in bodies for shape in _plate(body))
            found.append(SolidPiece(name=pattern.name, pattern=number, group=pattern.member, shapes=shapes))
    numbers = {pattern.name: number for number, pattern in enumerate(patterns)}
    for run in boat.runs:
        own = numbers.get(f"{run.name}, ends", numbers.get(run.name, -1))
        found.append(SolidPiece(name=run.name, pattern=own, group="timber", shapes=(_bar(run),)))
    for strake in boat.hull.strakes:
        own = numbers.get(f"{strake.name} strake", numbers.get(strake.name, -1))
        name = f"{strake.name} planking"
        skins = tuple(_skins(strake, boat.hull))
        found.append(SolidPiece(name=name, pattern=own, group="strake", shapes=skins, skin=True))
    return tuple(found)


def _plate(body: Body) -> Iterator[Shape]:
    """The wood between two faces: for each outline its points in the boat, and their partners on the other face."""
    faces = body.plane, body.plane.moved(body.depth)
    for edge in _edges(body):
        pairs = [thinned_in_space(np.hstack(pair)) for pair in edge]
        rings = [
            [whole_mm(face.space(pair[:-1, part])) for face, part in zip(faces, PARTS, strict=True)]
            for pair in pairs
        ]
        yield {"rings": rings, "pair": int(body.mirrored)}


def _edges(body: Body) -> Iterator[Sequence[tuple[FloatArray, FloatArray]]]:
    """The outlines with their partners; a bent piece is cut into strips that are nearly flat."""
    if not isinstance(body.plane, Curved):
        moulded, other = body.moulded.simplify(EVEN), body.other.simplify(EVEN)
        yield body.edge or edge_of(moulded, other, fine=WALK)
        return
    low, _, high, _ = body.moulded.union(body.other).bounds
    for left, right in pairwise(np.linspace(low, high, max(int((high - low) / STRIP), 1) + 1).tolist()):
        strip = shapely.box(left, -FAR, right, FAR)
        parts = [overlays.intersection(area, strip).simplify(EVEN) for area in (body.moulded, body.other)]
        if all(part.area > 0.0 for part in parts):
            yield edge_of(*parts, fine=WALK)


def thinned_in_space(points: FloatArray) -> FloatArray:
    """A run of points of any dimension without those on straight ways (Douglas and Peucker, 1973)."""
    kept = np.zeros(len(points), dtype=bool)
    half = int(np.linalg.norm(points - points[0], axis=1).argmax())
    kept[[0, half, -1]] = True
    ways = [(0, half), (half, len(points) - 1)]
    while ways:
        start, end = ways.pop()
        if end - start < 2:
            continue
        way = points[end] - points[start]
        off = points[start + 1 : end] - points[start]
        along = np.clip(off @ way / max(float(way @ way), 1e-12), 0.0, 1.0)
        away = np.linalg.norm(off - along[:, None] * way, axis=1)
        if float(away.max()) > EVEN:
            middle = start + 1 + int(away.argmax())
            kept[middle] = True
            ways += [(start, middle), (middle, end)]
    return points[kept]


def _bar(run: Run) -> Shape:
    """A timber's corners at places along it."""
    corners = run.corners
    steps = np.linalg.norm(np.diff(corners.mean(axis=1), axis=0), axis=1)
    way = np.append(0.0, np.cumsum(steps))
    count = max(int(way[-1] / COARSE), 2) + 1
    at = np.unique(np.searchsorted(way, np.linspace(0.0, way[-1], count)).clip(0, len(way) - 1))
    return {"bar": whole_mm(corners[at].reshape(-1, 3)), "round": corners.shape[1], "pair": int(run.mirrored)}


def _skins(strake: Strake, hull: Hull) -> Iterator[Shape]:
    """A strake's surface as grids, the outside of the lines; it is run on past transoms, and cut off there."""
    across = np.linspace(0.0, 1.0, AROUND_STRAKE)
    for patch in strake.patches:
        way = np.linspace(patch.start, patch.end, FINELY)
        points = patch.shape(*_grid(way, across))[0].reshape(FINELY, AROUND_STRAKE, 3)
        after = _ends(way, hull.transom.height_over(points))
        fore = np.full(AROUND_STRAKE, patch.start)
        if hull.bow_transom is not None:
            fore = _ends(way[::-1], -hull.bow_transom.height_over(points[::-1]))
        if (fore < after).all():
            p = np.linspace(fore, after, ALONG_STRAKE).ravel()
            r = np.tile(across, ALONG_STRAKE)
            yield {"skin": whole_mm(patch.shape(p, r)[0]), "round": AROUND_STRAKE, "pair": 1}


def _ends(way: FloatArray, over: FloatArray) -> FloatArray:
    """Where each ruling's run along ``way`` first passes a plane, over which it is so high, (n, k): shape (k,)."""
    ends = []
    for column in over.T:
        past = np.flatnonzero(column > 0.0)
        i = int(past[0]) if len(past) else len(way)
        on = 0 < i < len(way)
        ends.append(
            np.interp(0.0, column[i - 1 : i + 1], way[i - 1 : i + 1]) if on else way[min(i, len(way) - 1)]
        )
    return np.array(ends)


def _grid(way: FloatArray, across: FloatArray) -> tuple[FloatArray, FloatArray]:
    p, r = np.meshgrid(way, across, indexing="ij")
    return p.ravel(), r.ravel()


def whole_mm(points: FloatArray) -> list[int]:
    """Points (n, 3) as whole mm, one after the other."""
    return [int(value) for value in np.rint(points).ravel()]
