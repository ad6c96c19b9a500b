"""Every member of the boat as it is seen from one side, or as a plane cuts it, for the construction drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import MultiPoint

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.hull.curved import Curved
from patterns.hull.planes import FloatArray, Plane
from patterns.pattern import Body, Pattern
from patterns.shop.order_of_work import in_order_of_work
from patterns.timbers.run import Run
from patterns.wood.piece import Role
from patterns.wood.region import Area

__all__ = ["FROM_ABOVE", "FROM_THE_SIDE", "Member", "cut_by", "members_of", "seen"]

FROM_THE_SIDE = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])  # aft to the right, up
FROM_ABOVE = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])  # aft to the right, outboard up
EDGE_ON = 0.15  # cosine; a face that is seen at less is seen edge on
ALONG = 1e-4  # of the cosine of 0; faces that lean less to each other are parallel
BESIDE = 40.0  # mm; pieces along a plane and no farther from it are seen beside its cut
LEVELS = 5  # of a body's wood from face to face, whose outlines together are what is seen of it
COARSE = 60.0  # mm between the places of a timber that is seen
THIN = 0.05  # mm2; a lesser area is a line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Member:
    """What is made or put together as one, with all its wood.

    Attributes:
        number: in the order of work, from 1.
        name: e.g. ``frame 3``.
        bodies: of its pieces, each with the piece's name.
        run: the timber that it is, where it has no flat body.
    """

    number: int
    name: str
    bodies: tuple[tuple[str, Body], ...] = ()
    run: Run | None = None


def members_of(boat: Boat, patterns: Sequence[Pattern]) -> tuple[Member, ...]:
    """All members, in the order of work; those on both sides once, as they are to starboard."""
    runs = {run.name: run for run in boat.runs}
    wood: dict[str, list[tuple[str, Body]]] = {}
    for pattern in in_order_of_work(patterns):
        if pattern.template or pattern.trial or pattern.role is Role.LAYOUT:
            continue
        own = wood.setdefault(pattern.part_of or pattern.name, [])
        own += [(pattern.name, body) for body in (pattern.body, *pattern.slabs) if body is not None]
    names = [name for name, own in wood.items() if own or name in runs]
    names += [name for name in runs if name not in names]
    return tuple(
        Member(number=number, name=name, bodies=tuple(wood.get(name, ())), run=runs.get(name))
        for number, name in enumerate(names, start=1)
    )


def seen(member: Member, way: FloatArray) -> Area:
    """What a member covers as it is seen, mm.

    Args:
        way: shape (2, 3), how the boat's axes lie on the drawing.
    """
    found = [_body_seen(body, way) for _, body in member.bodies]
    if not found and member.run is not None:
        found = [_run_seen(member.run, way)]
    return overlays.union(*found)


def _body_seen(body: Body, way: FloatArray) -> Area:
    plane = body.plane
    flat = not isinstance(plane, Curved)
    normal = np.cross(way[0], way[1])
    if flat and abs(float(plane.normal @ normal)) < EDGE_ON:
        points = [_placed(body, shapely.get_coordinates(area), depth) @ way.T for area, depth in _faces(body)]
        return MultiPoint(np.vstack(points)).convex_hull
    levels = np.linspace(0.0, 1.0, LEVELS) if abs(body.depth) > 0.0 else [0.0]
    areas = []
    for share in levels:
        area = body.moulded if share <= 0.5 else body.other
        areas.append(_looked_at(body, area, float(share) * body.depth, way))
    return overlays.union(*areas)


def _looked_at(body: Body, area: Area, depth: float, way: FloatArray) -> Area:
    """An area of the body, so far from its moulded face, as it is seen."""
    placed = shapely.transform(area, lambda uv: _placed(body, uv, depth) @ way.T)
    return shapely.make_valid(placed)


def _faces(body: Body) -> tuple[tuple[Area, float], tuple[Area, float]]:
    return (body.moulded, 0.0), (body.other, body.depth)


def _placed(body: Body, uv: FloatArray, depth: float) -> FloatArray:
    return body.plane.moved(depth).space(uv)


def _run_seen(run: Run, way: FloatArray) -> Area:
    """A timber as the hulls of its stretches, each between two places near each other."""
    corners = run.corners
    count = max(int(run.length / COARSE), 2) + 1
    places = corners[np.unique(np.linspace(0, len(corners) - 1, count).astype(int))] @ way.T
    return overlays.union(*(MultiPoint(np.vstack(pair)).convex_hull for pair in pairwise(places)))


def cut_by(member: Member, plane: Plane) -> Iterator[tuple[str, Area]]:
    """What a plane athwartships cuts of a member, by piece, in the plane's coordinates, mm.

    Pieces that lie along the plane, beside it, are seen as well.
    """
    for name, body in member.bodies:
        area = _body_cut(body, plane)
        if area is not None and not area.is_empty and area.area > THIN:
            yield name, area
    if not member.bodies and member.run is not None:
        polygon = member.run.cut(plane)
        if polygon is not None:
            yield member.name, shapely.make_valid(shapely.Polygon(polygon))


def _body_cut(body: Body, plane: Plane) -> Area | None:
    """The cut of one body: its own area where it lies along the plane, else what is between its faces' cuts."""
    if isinstance(body.plane, Curved) or isinstance(plane, Curved):
        return None
    if 1.0 - abs(float(body.plane.normal @ plane.normal)) < ALONG:
        off = float((plane.origin - body.plane.origin) @ body.plane.normal)
        share = off / body.depth
        if abs(body.depth) * (abs(share - 0.5) - 0.5) > BESIDE:
            return None
        area = body.moulded if share <= 0.5 else body.other
        return shapely.transform(area, lambda uv: plane.flat(_placed(body, uv, off)))
    lines = [_face_cut(body, area, depth, plane) for area, depth in _faces(body)]
    if len(lines[0]) != len(lines[1]):
        return None
    return overlays.union(*(MultiPoint(np.vstack(pair)).convex_hull for pair in zip(*lines, strict=True)))


def _face_cut(body: Body, area: Area, depth: float, plane: Plane) -> list[FloatArray]:
    """The stretches, each (2, 2) in the plane's coordinates, in which a plane cuts one face's area."""
    face = body.plane.moved(depth)
    slope = np.array([face.u @ plane.normal, face.v @ plane.normal])
    foot = -float(plane.height_over(face.origin)) * slope / float(slope @ slope)
    way = np.array([-slope[1], slope[0]]) / np.hypot(*slope)
    line = shapely.LineString([foot - 1e5 * way, foot + 1e5 * way])
    parts = shapely.get_parts(overlays.intersection(line, area))
    runs = [shapely.get_coordinates(part) for part in parts if part.length > THIN]
    runs.sort(key=lambda run: float((run[0] - foot) @ way))
    return [plane.flat(face.space(run[[0, -1]])) for run in runs]
