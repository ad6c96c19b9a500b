"""The two faces of a pattern as areas of its drawing, and where the seats of its meetings lie on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np
import shapely

from patterns.assembly.intended import areas_on
from patterns.flat import overlays
from patterns.flat.shapes import area_of
from patterns.hull.curved import Curved
from patterns.hull.planes import FloatArray, Plane
from patterns.pattern import Kind, Line, Pattern
from patterns.wood.meeting import Meeting, Seat
from patterns.wood.placement import mirrored_plane

__all__ = ["FaceWood", "face_wood", "seat_areas", "seat_places"]

ON = 1e-3  # mm; nearer than this two faces are one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaceWood:
    """A pattern's wood in the coordinates of its drawing, mm.

    Attributes:
        planes: of the moulded face and of the other one; both share u and v.
        view: shape (2, 2), from u and v to the drawing.
        faces: the wood on each face; of a half the starboard half.
        lines: the outlines of each face, (n, 2), closed ones with their first point again at their end.
        edges: every line that the wood is sawn to on either face, and the centreline of a half.
    """

    planes: tuple[Plane, Plane]
    view: FloatArray
    faces: tuple[Any, Any]
    lines: tuple[tuple[FloatArray, ...], tuple[FloatArray, ...]]
    edges: Any

    @property
    def outline(self) -> Any:
        """The outlines of both faces."""
        lines = [points for face in self.lines for points in face]
        return overlays.union(*(shapely.linestrings(points) for points in lines))

    def drawn(self, points: FloatArray) -> FloatArray:
        """Points in the boat (n, 3), square through the wood to the drawing, (n, 2)."""
        found: FloatArray = self.planes[0].flat(points) @ self.view.T
        return found

    def areas(self, areas: Sequence[Any]) -> tuple[Any, Any]:
        """Areas of the drawing, one for each face, as far as there is wood."""
        first, second = (overlays.intersection(a, wood) for a, wood in zip(areas, self.faces, strict=True))
        return first, second

    def foot(self, near: FloatArray, places: FloatArray) -> FloatArray:
        """On the outline, the foot of that of some places (n, 2) which lies nearest to another, (2,)."""
        place = places[int(np.hypot(*(places - near).T).argmin())]
        found: FloatArray = shapely.get_coordinates(
            shapely.shortest_line(self.outline, shapely.points(place))
        )[0]
        return found

    def between(self, other: FaceWood) -> bool:
        """Whether it lies between the two faces of another, as a part of that does."""
        heights = [plane.height_over(own.origin[None]) for plane in other.planes for own in self.planes]
        thick = float(np.abs(other.planes[0].height_over(other.planes[1].origin[None]))[0])
        return all(float(abs(height[0])) <= thick + ON for height in heights)

    def tick(self, at: FloatArray, length: float) -> FloatArray:
        """A line (2, 2) from a place on the outline square to it into the wood."""
        around = shapely.buffer(shapely.points(at), 0.25 * length)
        inside = overlays.intersection(around, overlays.union(*self.faces)).centroid
        way = shapely.get_coordinates(inside)[0] - at if not inside.is_empty else np.zeros(2)
        far = float(np.hypot(*way))
        end = at + length * way / far if far > 0.0 else at
        found: FloatArray = np.array([at, end])
        return found

    def outlines_on(self, other: FaceWood, face: int) -> tuple[FloatArray, ...]:
        """The outlines of that of its faces which lies on another pattern's, in that one's drawing."""

        def away(mine: int) -> float:
            points = np.vstack([self.space(mine, line) for line in self.lines[mine]])
            return float(np.abs(other.planes[face].height_over(points)).max())

        mine = min((0, 1), key=away)
        return tuple(other.drawn(self.space(mine, line)) for line in self.lines[mine])

    def space(self, face: int, points: FloatArray) -> FloatArray:
        """Places of the drawing (n, 2) on one of its faces in the boat, (n, 3)."""
        return self.planes[face].space(points @ np.linalg.inv(self.view).T)


def face_wood(pattern: Pattern) -> FaceWood | None:
    """The faces of a pattern; None where it lies on no plane."""
    if pattern.plane is None:
        return None
    saw = pattern.of_kind(Kind.SAW)
    kinds = [pattern.of_kind(kind) or saw for kind in (Kind.FACE, Kind.OTHER)]
    first, second = (tuple(_closed(line) for line in lines) for lines in kinds)
    if not first or not second:
        return None
    lines = [shapely.linestrings(points) for points in (*first, *second, *(_closed(line) for line in saw))]
    if pattern.half:
        heights = np.vstack([*first, *second])[:, 1]
        lines.append(shapely.linestrings([[0.0, heights.min()], [0.0, heights.max()]]))
    return FaceWood(
        planes=(pattern.plane, pattern.plane.moved(pattern.siding * pattern.thickness)),
        view=pattern.view,
        faces=(_area(first), _area(second)),
        lines=(first, second),
        edges=overlays.union(*lines),
    )


def _closed(line: Line) -> FloatArray:
    return np.vstack([line.points, line.points[:1]]) if line.closed else line.points


def _area(outlines: Sequence[FloatArray]) -> Any:
    """The area within outlines, of which one may be a hole in another."""
    areas = [area_of(points) for points in outlines if len(points) > 2]
    return reduce(_either, areas, shapely.Polygon())


def _either(one: Any, other: Any) -> Any:
    """What only one of two areas covers."""
    return overlays.union(overlays.difference(one, other), overlays.difference(other, one))


def seat_areas(meetings: Sequence[Meeting], wood: FaceWood, face: int, *, both: bool) -> Any:
    """Where seats lie on a face, as an area of its drawing; with those on the port side, where ``both``."""
    plane = wood.planes[face]
    found = [
        shapely.transform(area, lambda uv: uv @ wood.view.T)
        for meeting in meetings
        for seats in _sides(meeting.seats, both=both)
        for area in areas_on(seats, plane)
    ]
    return overlays.union(*(area for area in found if area.area > 0.0))


def seat_places(meetings: Sequence[Meeting], wood: FaceWood, *, both: bool) -> FloatArray:
    """Places of seats, in the drawing, (n, 2)."""
    points = [
        wood.drawn(seat.points())
        for meeting in meetings
        for seats in _sides(meeting.seats, both=both)
        for seat in seats
    ]
    return np.vstack([np.zeros((0, 2)), *points])


def _sides(seats: Sequence[Seat], *, both: bool) -> list[Sequence[Seat]]:
    return [seats, [_mirrored(seat) for seat in seats]] if both else [seats]


def _mirrored(seat: Seat) -> Seat:
    """The seat on the other side of the boat; a bent face lies across both."""
    shape = shapely.transform(seat.shape, lambda uv: uv * [-1.0, 1.0])
    plane = seat.plane if isinstance(seat.plane, Curved) else mirrored_plane(seat.plane)
    return Seat(plane=plane, shape=shape)
