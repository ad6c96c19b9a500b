"""Flat wood between two parallel faces, for a quick look at what touches or overlaps what.

Each face's outline is known, what lies between them is not looked at: where the edges are bevelled, wood that is on
both faces is certain, and wood on either is possible.  Two pieces overlap for certain or touch possibly: both are
on the safe side for a finding.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from patterns.flat.overlays import intersection, union
from patterns.hull.planes import FloatArray
from patterns.pattern import Body, Pattern
from patterns.wood.region import Area

__all__ = ["NEAR", "Slab", "met", "near", "slabs_of"]

NEAR = 1.0  # mm; two pieces no farther apart than this touch, or are meant to
PARALLEL = 1e-6
STEP = 5.0  # mm between the points of a rim
INSET = 8.0  # mm
MIRROR = np.array([1.0, -1.0, 1.0])
FAR = 1e6


@dataclass(frozen=True, kw_only=True, eq=False)
class Slab:
    """One body of a piece where it lies.

    Attributes:
        pattern: the piece.
        port: it is the mirror of the body on the port side.
        origin, u, v, into: of its moulded face: a place, two axes and the way into the wood, each (3,).
        thick: mm.
        faces: the areas of wood on the moulded and on the other face, both in u and v.
    """

    pattern: Pattern
    port: bool
    origin: FloatArray
    u: FloatArray
    v: FloatArray
    into: FloatArray
    thick: float
    faces: tuple[Area, Area]

    @classmethod
    def of(cls, pattern: Pattern, body: Body, *, port: bool = False) -> Slab:
        """A body, or its mirror."""
        plane, turn = body.plane, MIRROR if port else np.ones(3)
        return cls(
            pattern=pattern,
            port=port,
            origin=plane.origin * turn,
            u=plane.u * turn,
            v=plane.v * turn,
            into=plane.normal * np.sign(body.depth) * turn,
            thick=abs(body.depth),
            faces=(body.moulded, body.other),
        )

    @property
    def name(self) -> str:
        """The piece's name."""
        return self.pattern.name

    @cached_property
    def certain(self) -> Area:
        """What is wood on both faces."""
        return self._both(intersection)

    @cached_property
    def possible(self) -> Area:
        """What is wood on either face."""
        return self._both(union)

    def _both(self, how: Callable[[Area, Area], Any]) -> Area:
        moulded, other = self.faces
        if moulded is other:
            return moulded
        area: Area = how(moulded, other)
        shapely.prepare(area)
        return area

    @cached_property
    def rims(self) -> FloatArray:
        """Points along the outlines of both faces, and between the faces of what is wood for certain, (n, 3)."""
        # Two that cross at a small angle may have one outline: what lies in from it shows it.
        low, high = 0.25 * self.thick, 0.75 * self.thick
        inner = shapely.buffer(self.certain, -INSET, quad_segs=2)
        places = [(self.certain, 0.5 * self.thick), (inner, low), (inner, high)]
        return np.vstack([self.face_rims, *(self.space(_along(area), height) for area, height in places)])

    @cached_property
    def face_rims(self) -> FloatArray:
        """Points along the outlines of both faces, (n, 3)."""
        heights = (0.0, self.thick)
        return np.vstack([self.space(_along(area), h) for area, h in zip(self.faces, heights, strict=True)])

    @cached_property
    def box(self) -> tuple[FloatArray, FloatArray]:
        """Its least and greatest coordinates, two arrays (3,), mm."""
        corners = []
        for area, height in zip(self.faces, (0.0, self.thick), strict=True):
            u0, v0, u1, v1 = area.bounds
            corners.append(self.space(np.array([[u0, v0], [u0, v1], [u1, v0], [u1, v1]]), height))
        points = np.vstack(corners)
        return points.min(axis=0), points.max(axis=0)

    def space(self, uv: FloatArray, height: float) -> FloatArray:
        """Points (n, 3) in the boat, of the face's own coordinates (n, 2) and a height into the wood."""
        points: FloatArray = self.origin + uv[:, :1] * self.u + uv[:, 1:] * self.v + height * self.into
        return points

    def own(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The face's own coordinates (n, 2) of points (n, 3), and their heights into the wood (n,)."""
        off = points - self.origin
        return np.stack([off @ self.u, off @ self.v], axis=-1), off @ self.into

    def depth(self, points: FloatArray, area: Area) -> FloatArray:
        """How far points (n, 3) lie inside the wood, mm, (n,), by an area in its plane; less than 0 outside."""
        uv, height = self.own(points)
        face = np.minimum(height, self.thick - height)
        found = np.full(len(points), -FAR)
        here = face > -2.0 * NEAR
        u0, v0, u1, v1 = area.bounds
        here &= np.all((uv > [u0 - 2 * NEAR, v0 - 2 * NEAR]) & (uv < [u1 + 2 * NEAR, v1 + 2 * NEAR]), axis=1)
        if here.any():
            away = shapely.distance(shapely.boundary(area), shapely.points(uv[here]))
            inside = shapely.contains_xy(area, uv[here, 0], uv[here, 1])
            found[here] = np.minimum(np.where(inside, away, -away), face[here])
        return found


def _along(area: Area) -> FloatArray:
    """Points along the outlines of an area, (n, 2)."""
    uv: FloatArray = shapely.get_coordinates(shapely.segmentize(shapely.boundary(area), STEP))
    return uv


def slabs_of(pattern: Pattern) -> Iterator[Slab]:
    """The wood of a piece on both sides; none of what is a paper, a tool, or bent."""
    for body in (pattern.body, *pattern.slabs):
        if body is not None and not pattern.template:
            yield Slab.of(pattern, body)
            if body.mirrored:
                yield Slab.of(pattern, body, port=True)


def near(a: Slab, b: Slab) -> bool:
    """Whether their boxes meet."""
    (low, high), (low_b, high_b) = a.box, b.box
    return bool(np.all(np.maximum(low, low_b) <= np.minimum(high, high_b) + 2.0 * NEAR))


def met(a: Slab, b: Slab) -> tuple[bool, float, FloatArray]:
    """Whether two pieces touch, how deep they overlap, mm, and where that is, (3,)."""
    if abs(abs(float(a.into @ b.into)) - 1.0) < PARALLEL:
        return _side_by_side(a, b)
    touching, deepest, at = False, 0.0, a.origin
    for one, other in ((a, b), (b, a)):
        low, high = other.box
        rims = one.rims
        rims = rims[np.all((rims >= low - NEAR) & (rims <= high + NEAR), axis=1)]
        if not len(rims):
            continue
        touching = touching or bool(other.depth(rims, other.possible).max() >= -NEAR)
        depth = other.depth(rims, other.certain)
        most = int(depth.argmax())
        if depth[most] > deepest:
            deepest, at = float(depth[most]), rims[most]
    return touching, deepest, at


def _side_by_side(a: Slab, b: Slab) -> tuple[bool, float, FloatArray]:
    """The same of two whose faces are parallel."""
    start = float((b.origin - a.origin) @ a.into)
    end = start + b.thick * float(a.into @ b.into)
    low, high = max(min(start, end), 0.0), min(max(start, end), a.thick)
    none = False, 0.0, a.origin
    if low - high > NEAR:
        return none
    if high - low <= NEAR:  # one lies on the other's face
        near_b = min((start, 0), (end, 1), key=lambda face: abs(face[0] - 0.5 * (low + high)))[1]
        on_a = a.faces[0 if low + high < a.thick else 1]
        return bool(shapely.intersects(on_a, _in_plane(a, b, b.faces[near_b]))), 0.0, a.origin
    if shapely.distance(a.possible, _in_plane(a, b, b.possible)) > NEAR:
        return none
    common = intersection(a.certain, _in_plane(a, b, b.certain))
    if common.area < NEAR or shapely.buffer(common, -0.5 * NEAR).is_empty:
        return True, 0.0, a.origin
    core, width = common, 0.0
    for step in (16.0, 8.0, 4.0, 2.0, 1.0, 0.5):
        smaller = shapely.buffer(common, -width - step)
        if not smaller.is_empty:
            core, width = smaller, width + step
    where = shapely.get_coordinates(shapely.point_on_surface(core))
    return True, min(2.0 * width, high - low), a.space(where, 0.5 * (low + high))[0]


def _in_plane(a: Slab, b: Slab, area: Area) -> Area:
    """An area of one piece's plane in the coordinates of another's that is parallel to it."""
    moved: Area = shapely.transform(area, lambda uv: a.own(b.space(uv, 0.0))[0])
    return moved
