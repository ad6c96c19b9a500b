"""A flat piece of wood in space: two areas in parallel planes, its edges running straight from one to the other."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.assembly.edges import Area, edge_of, rings
from patterns.assembly.solids import Samples, with_side
from patterns.hull.planes import FloatArray
from patterns.pattern import Body

__all__ = ["CLEAR", "Plate", "plates"]

MIRROR = np.array([1.0, -1.0, 1.0])
LEVEL = 0.4  # mm that an outline may shift from one level of the edge to the next
CLEAR = 5.0  # mm; how far off a place is that is farther from a piece tells nothing of a joint
NEAR_FACE = 2.0  # mm
STEEPEST = 3.0  # of an edge's lean; nearer to the face's own plane there is no edge to speak of


@dataclass(frozen=True, kw_only=True, eq=False)
class Plate:
    """A flat piece where it stands.

    Attributes:
        piece: the pattern's name.
        body: the wood; where it is mirrored, this is one of the two.
        member: the kind of member.
        port: it is the mirror of the body on the port side.
        edge: the outlines of the moulded face and their partners on the other face; found where none are given.
    """

    piece: str
    body: Body
    member: str = ""
    port: bool = False
    edge: list[tuple[FloatArray, FloatArray]] = field(default_factory=list)
    _sliced: dict[float, Area] = field(default_factory=dict, init=False, repr=False)

    def __post_init__(self) -> None:
        edge = self.edge or list(self.body.edge) or edge_of(self.body.moulded, self.body.other)
        object.__setattr__(self, "edge", edge)

    @property
    def name(self) -> str:
        """See `Solid.name`."""
        return with_side(self.piece, mirrored=self.body.mirrored, port=self.port)

    @property
    def thick(self) -> float:
        """The thickness of the wood, mm."""
        return abs(self.body.depth)

    def _own(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The plane's own coordinates (n, 2), and the height from the moulded face into the wood (n,)."""
        points = points * MIRROR if self.port else points
        plane = self.body.plane
        return plane.flat(points), plane.height_over(points) * np.sign(self.body.depth)

    def _space(self, uv: FloatArray, height: FloatArray | float) -> FloatArray:
        rise = np.broadcast_to(np.asarray(height) * np.sign(self.body.depth), uv.shape[:-1])
        points = self.body.plane.space(uv) + rise[..., None] * self.body.plane.normal
        return points * MIRROR if self.port else points

    def _axes(self) -> FloatArray:
        """The directions of u, v and into the wood, rows of (3, 3)."""
        plane = self.body.plane
        axes = np.stack([plane.u, plane.v, plane.normal * np.sign(self.body.depth)])
        return axes * MIRROR if self.port else axes

    def box(self) -> tuple[FloatArray, FloatArray]:
        """See `Solid.box`."""
        corners = []
        for area, height in ((self.body.moulded, 0.0), (self.body.other, self.thick)):
            u0, v0, u1, v1 = area.bounds
            corners.append(self._space(np.array([[u0, v0], [u0, v1], [u1, v0], [u1, v1]]), height))
        points = np.vstack(corners)
        return points.min(axis=0), points.max(axis=0)

    def depth(self, points: FloatArray) -> FloatArray:
        """See `Solid.depth`; of what is more than `CLEAR` mm off, less than that."""
        uv, height = self._own(points)
        face = np.minimum(height, self.thick - height)
        found = np.minimum(face, -CLEAR)
        grown, shrunk = self._bands
        near = np.flatnonzero(face > -CLEAR)
        near = near[shapely.contains_xy(grown, uv[near, 0], uv[near, 1])]
        # Where the edge is farther off than the face it need not be known.
        on_face = (np.abs(face[near]) < NEAR_FACE) & shapely.contains_xy(shrunk, uv[near, 0], uv[near, 1])
        found[near[on_face]] = face[near[on_face]]
        near = near[~on_face]
        uv, height, face = uv[near], height[near], face[near]
        edge = self._within(uv, np.clip(height / self.thick, 0.0, 1.0))
        outside = np.hypot(np.minimum(edge, 0.0), np.minimum(face, 0.0))
        found[near] = np.where((edge < 0.0) & (face < 0.0), -outside, np.minimum(edge, face))
        return found

    @cached_property
    def _shift(self) -> float:
        """How far the outline moves from the moulded face to the other one, mm."""
        return max(float(np.hypot(*(b - a).T).max()) for a, b in self.edge)

    @cached_property
    def _bands(self) -> tuple[Area, Area]:
        """The area outside of which a place is `CLEAR` of the wood, and that inside of which no edge is near."""
        steep = float(np.hypot(1.0, STEEPEST))
        bands = [
            shapely.buffer(self.body.moulded, by)
            for by in (self._shift + steep * CLEAR, -self._shift - steep * NEAR_FACE)
        ]
        shapely.prepare(bands)
        return bands[0], bands[1]

    def _within(self, uv: FloatArray, part: FloatArray) -> FloatArray:
        """How far inside the edge points lie, (n,), mm, square to it; ``part`` of the thickness, 0 to 1.

        The outline is laid out at so many levels that it shifts by no more than `LEVEL` from one to the next.
        """
        count = int(np.ceil(self._shift / LEVEL))
        if count == 0:
            return _within(self.body.moulded, uv)
        level = np.minimum((part * count).astype(int), count - 1)
        edge = np.empty(len(uv))
        for k in np.unique(level):
            here = level == k
            low, high = (_within(self._slice(q / count), uv[here]) for q in (k, k + 1))
            above = part[here] * count - k
            lean = np.clip((high - low) * count / self.thick, -STEEPEST, STEEPEST)
            edge[here] = ((1.0 - above) * low + above * high) / np.hypot(1.0, lean)
        return edge

    def _slice(self, part: float) -> Area:
        """The area of wood at a part of the thickness."""
        if part in (0.0, 1.0):
            return self.body.other if part else self.body.moulded
        if part not in self._sliced:
            area: Area = Polygon()
            for a, b in self.edge:
                ring = Polygon(a + part * (b - a))
                area = shapely.symmetric_difference(area, ring if ring.is_valid else shapely.make_valid(ring))
            self._sliced[part] = area
        return self._sliced[part]

    def surface(self, step: float) -> Samples:
        """See `Solid.surface`."""
        into = self._axes()[2]
        points, normals = self._edge_samples(step)
        for area, height, out in ((self.body.moulded, 0.0, -into), (self.body.other, self.thick, into)):
            uv = _grid(area, step)
            points.append(self._space(uv, height))
            normals.append(np.broadcast_to(out, (len(uv), 3)))
        return Samples(points=np.vstack(points), normals=np.vstack(normals))

    def _edge_samples(self, step: float) -> tuple[list[FloatArray], list[FloatArray]]:
        """Points on the edges between the faces, and their normals."""
        # Between the faces, not on them: the rims are among the faces' own samples.
        count = int(np.ceil(self.thick / step))
        across = (np.arange(count) + 0.5) / count
        points, normals = [], []
        for a, b in self.edge:
            start, foot, along = _walk(a, b, step)
            uv = start[:, None] + across[:, None] * (foot - start)[:, None]
            rise = np.concatenate([foot - start, np.full((len(start), 1), self.thick)], axis=-1)
            normal = np.cross(np.concatenate([along, np.zeros((len(along), 1))], axis=-1), rise)
            normal = normal / np.linalg.norm(normal, axis=-1, keepdims=True)
            points.append(self._space(uv, across * self.thick).reshape(-1, 3))
            normals.append(np.repeat(normal @ self._axes(), len(across), axis=0))
        return points, normals


def plates(piece: str, body: Body, member: str = "") -> tuple[Plate, ...]:
    """The piece, and its mirror where there is one on each side."""
    one = Plate(piece=piece, body=body, member=member)
    if not body.mirrored:
        return (one,)
    return one, Plate(piece=piece, body=body, member=member, port=True, edge=one.edge)


def _walk(a: FloatArray, b: FloatArray, step: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Places along a closed outline no more than ``step`` apart, their partners, and the unit headings there.

    They lie in the middle of short pieces: a corner has no heading of its own.
    """
    sides, ways = np.diff(a, axis=0), np.diff(b, axis=0)
    longest = np.maximum(np.hypot(*sides.T), np.hypot(*ways.T))
    kept = longest > 1e-9
    sides, ways, longest = sides[kept], ways[kept], longest[kept]
    counts = np.ceil(longest / step).astype(int)
    side = np.repeat(np.arange(len(counts)), counts)
    number = np.arange(len(side)) - np.repeat(np.cumsum(counts) - counts, counts)
    part = ((number + 0.5) / counts[side])[:, None]
    along = sides + ways
    along = along / np.maximum(np.hypot(*along.T), 1e-12)[:, None]
    return (
        a[:-1][kept][side] + part * sides[side],
        b[:-1][kept][side] + part * ways[side],
        along[side],
    )


def _grid(area: Area, step: float) -> FloatArray:
    """Points of a square grid that lie in an area, and points just within its outline, (n, 2)."""
    u0, v0, u1, v1 = area.bounds
    u, v = np.meshgrid(np.arange(u0 + 0.5 * step, u1, step), np.arange(v0 + 0.5 * step, v1, step))
    found = [np.stack([u.ravel(), v.ravel()], axis=-1)]
    for ring in rings(area):
        uv, _, along = _walk(ring, ring, step)
        found.append(uv + 0.01 * np.stack([-along[:, 1], along[:, 0]], axis=-1))
    points = np.vstack(found)
    shapely.prepare(area)
    inside: FloatArray = points[shapely.contains_xy(area, points[:, 0], points[:, 1])]
    return inside


def _within(area: Area, uv: FloatArray) -> FloatArray:
    """How far points (n, 2) lie inside an area, mm, shape (n,); less than 0 outside."""
    shapely.prepare(area)
    away = shapely.distance(shapely.boundary(area), shapely.points(uv))
    signed: FloatArray = np.where(shapely.contains_xy(area, uv[:, 0], uv[:, 1]), away, -away)
    return signed
