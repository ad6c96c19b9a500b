"""Flat wood between two parallel faces, for a quick look at what lies in what, and near what.

Each face's outline is known, what lies between them is not looked at: where the edges are bevelled, wood that is on
both faces is certain, and wood on either is possible.  Two pieces overlap for certain, and are possibly near a
place: both are on the safe side for a finding.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely

from patterns.flat.overlays import intersection
from patterns.hull.planes import FloatArray
from patterns.pattern import Body, Pattern
from patterns.wood.region import Area

__all__ = ["NEAR", "Sawn", "Slab", "overlap", "slabs_of"]

NEAR = 1.0  # mm; two pieces no farther apart than this touch, or are meant to
PARALLEL = 1e-6
STEP = 5.0  # mm between the points of a rim
INSET = 8.0  # mm
MIRROR = np.array([1.0, -1.0, 1.0])

Mask = np.ndarray[tuple[int], np.dtype[np.bool_]]


@dataclass(frozen=True, kw_only=True, eq=False)
class Sawn:
    """What a body and its mirror share.

    Attributes:
        moulded, other: the areas of wood on the moulded and on the other face, both in u and v.
        thick: mm.
    """

    moulded: Area
    other: Area
    thick: float

    @property
    def faces(self) -> tuple[Area, ...]:
        """Its faces that differ: one where they are alike."""
        return (self.moulded,) if self.moulded is self.other else (self.moulded, self.other)

    @cached_property
    def certain(self) -> Area:
        """What is wood on both faces."""
        if self.moulded is self.other:
            return self.moulded
        area: Area = intersection(self.moulded, self.other)
        return area

    @cached_property
    def outlines(self) -> FloatArray:
        """Points along the outlines of both faces with their heights into the wood, (n, 3)."""
        return np.vstack([_along(self.moulded, 0.0), _along(self.other, self.thick)])

    @cached_property
    def rims(self) -> FloatArray:
        """The same with points between the faces of what is wood for certain, (n, 3)."""
        # Two that cross at a small angle may have one outline: what lies in from it shows it.
        inner = shapely.buffer(self.certain, -INSET, quad_segs=2)
        places = [(self.certain, 0.5), (inner, 0.25), (inner, 0.75)]
        return np.vstack([self.outlines, *(_along(area, part * self.thick) for area, part in places)])

    @cached_property
    def bounds(self) -> FloatArray:
        """The least and greatest u and v of both faces, (2, 2), mm."""
        u0, v0, u1, v1 = np.array([area.bounds for area in self.faces]).T
        return np.array([[u0.min(), v0.min()], [u1.max(), v1.max()]])

    def within(self, uv: FloatArray) -> FloatArray:
        """How far points (n, 2) lie inside the outlines of both faces, mm, (n,); 0 outside of either."""
        inside = np.ones(len(uv), dtype=bool)
        for area in self.faces:
            shapely.prepare(area)
            inside &= shapely.contains_xy(area, uv[:, 0], uv[:, 1])
        found = np.zeros(len(uv))
        if inside.any():
            points = shapely.points(uv[inside])
            away = [shapely.distance(shapely.boundary(area), points) for area in self.faces]
            found[inside] = np.min(away, axis=0)
        return found

    def near(self, uv: FloatArray, reach: float) -> Mask:
        """Which of points (n, 2) lie within a reach, mm, of either face's outline, or inside of it."""
        found = np.zeros(len(uv), dtype=bool)
        for area in self.faces:
            shapely.prepare(area)
            found[~found] = shapely.contains_xy(area, uv[~found, 0], uv[~found, 1])
        for area in self.faces:
            found[~found] = shapely.dwithin(area, shapely.points(uv[~found]), reach)
        return found


@dataclass(frozen=True, kw_only=True, eq=False)
class Slab:
    """One body of a piece where it lies.

    Attributes:
        pattern: the piece.
        port: it is the mirror of the body on the port side.
        origin, u, v, into: of its moulded face: a place, two axes and the way into the wood, each (3,).
        sawn: its two faces.
    """

    pattern: Pattern
    port: bool = False
    origin: FloatArray
    u: FloatArray
    v: FloatArray
    into: FloatArray
    sawn: Sawn

    @classmethod
    def of(cls, pattern: Pattern, body: Body) -> Slab:
        """A body on the starboard side or across the centreline."""
        plane = body.plane
        return cls(
            pattern=pattern,
            origin=plane.origin,
            u=plane.u,
            v=plane.v,
            into=plane.normal * np.sign(body.depth),
            sawn=Sawn(moulded=body.moulded, other=body.other, thick=abs(body.depth)),
        )

    def mirrored(self) -> Slab:
        """Its mirror on the port side."""
        axes = {name: getattr(self, name) * MIRROR for name in ("origin", "u", "v", "into")}
        return replace(self, port=True, **axes)

    @property
    def name(self) -> str:
        """The piece's name."""
        return self.pattern.name

    @property
    def thick(self) -> float:
        """The thickness of its wood, mm."""
        return self.sawn.thick

    @cached_property
    def rims(self) -> FloatArray:
        """Points along its outlines and in its wood, (n, 3)."""
        return self._placed(self.sawn.rims)

    @cached_property
    def face_rims(self) -> FloatArray:
        """Points along the outlines of both faces, (n, 3)."""
        return self._placed(self.sawn.outlines)

    @cached_property
    def box(self) -> tuple[FloatArray, FloatArray]:
        """Its least and greatest coordinates, two arrays (3,), mm."""
        (u0, v0), (u1, v1) = self.sawn.bounds
        uv = np.array([[u0, v0], [u0, v1], [u1, v0], [u1, v1]])
        points = np.vstack([self.space(uv, height) for height in (0.0, self.thick)])
        return points.min(axis=0), points.max(axis=0)

    def space(self, uv: FloatArray, height: float) -> FloatArray:
        """Points (n, 3) in the boat, of the face's own coordinates (n, 2) and a height into the wood."""
        return self._placed(np.column_stack([uv, np.full(len(uv), height)]))

    def _placed(self, own: FloatArray) -> FloatArray:
        points: FloatArray = self.origin + own @ np.stack([self.u, self.v, self.into])
        return points

    def own(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The face's own coordinates (n, 2) of points (n, 3), and their heights into the wood (n,)."""
        off = points - self.origin
        return np.stack([off @ self.u, off @ self.v], axis=-1), off @ self.into

    def deepest(self, points: FloatArray) -> tuple[float, int]:
        """How deep the deepest of points (n, 3) lies in the wood for certain, mm, and which; 0 where none does."""
        uv, height = self.own(points)
        face = np.minimum(height, self.thick - height)
        (low, high) = self.sawn.bounds
        here = np.flatnonzero((face > 0.0) & np.all((uv > low) & (uv < high), axis=1))
        if not len(here):
            return 0.0, 0
        depth = np.minimum(self.sawn.within(uv[here]), face[here])
        most = int(depth.argmax())
        return float(depth[most]), int(here[most])

    def near(self, points: FloatArray, reach: float) -> Mask:
        """Which of points (n, 3) lie within a reach, mm, of what may be wood."""
        uv, height = self.own(points)
        found = (height > -reach) & (height < self.thick + reach)
        found[found] = self.sawn.near(uv[found], reach)
        return found


def _along(area: Area, height: float) -> FloatArray:
    """Points along the outlines of an area at a height into the wood, (n, 3)."""
    uv = shapely.get_coordinates(shapely.segmentize(shapely.boundary(area), STEP))
    return np.column_stack([uv, np.full(len(uv), height)])


def slabs_of(pattern: Pattern) -> Iterator[Slab]:
    """The wood of a piece on both sides; none of what is a paper, a tool, or bent."""
    for body in (pattern.body, *pattern.slabs):
        if body is not None and not pattern.template:
            slab = Slab.of(pattern, body)
            yield slab
            if body.mirrored:
                yield slab.mirrored()


def overlap(a: Slab, b: Slab) -> tuple[float, FloatArray]:
    """How deep two pieces lie in each other for certain, mm, and where that is, (3,); 0 where they do not."""
    if abs(abs(float(a.into @ b.into)) - 1.0) < PARALLEL:
        return _side_by_side(a, b)
    deepest, at = 0.0, a.origin
    for one, other in ((a, b), (b, a)):
        low, high = other.box
        rims = one.rims
        rims = rims[np.all((rims >= low) & (rims <= high), axis=1)]
        if not len(rims):
            continue
        depth, most = other.deepest(rims)
        if depth > deepest:
            deepest, at = depth, rims[most]
    return deepest, at


def _side_by_side(a: Slab, b: Slab) -> tuple[float, FloatArray]:
    """The same of two whose faces are parallel."""
    start = float((b.origin - a.origin) @ a.into)
    end = start + b.thick * float(a.into @ b.into)
    low, high = max(min(start, end), 0.0), min(max(start, end), a.thick)
    none = 0.0, a.origin
    if high - low <= NEAR:  # beside each other, or one on the other's face
        return none
    shapely.prepare(a.sawn.certain)
    theirs = _in_plane(a, b, b.sawn.certain)
    if not shapely.intersects(a.sawn.certain, theirs):
        return none
    common = intersection(a.sawn.certain, theirs)
    if common.area < NEAR or shapely.buffer(common, -0.5 * NEAR).is_empty:
        return none
    core, width = common, 0.0
    for step in (16.0, 8.0, 4.0, 2.0, 1.0, 0.5):
        smaller = shapely.buffer(common, -width - step)
        if not smaller.is_empty:
            core, width = smaller, width + step
    where = shapely.get_coordinates(shapely.point_on_surface(core))
    return min(2.0 * width, high - low), a.space(where, 0.5 * (low + high))[0]


def _in_plane(a: Slab, b: Slab, area: Area) -> Area:
    """An area of one piece's plane in the coordinates of another's that is parallel to it."""
    moved: Area = shapely.transform(area, lambda uv: a.own(b.space(uv, 0.0))[0])
    return moved
