"""Planes that cut the boat, each with its own two axes.

The boat's axes: x aft, y outboard, z up.  A plane's own coordinates are ``u`` (outboard from the
centreline, for planes athwartships) and ``v`` (up the plane), so a shape drawn in them is the true shape.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from patterns.vectors import FloatArray, cross

__all__ = ["FloatArray", "Plane", "centre_plane", "cross", "plane_through", "station_plane"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plane:
    """A plane in the boat.

    Attributes:
        origin: shape (3,), mm; where u = v = 0.
        u, v: unit vectors, shape (3,), square to each other.
        normal: unit vector u x v; it points aft for a plane athwartships.
    """

    origin: FloatArray
    u: FloatArray
    v: FloatArray
    normal: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "normal", cross(self.u, self.v))

    @property
    def rake(self) -> float:
        """How far the plane leans, top aft positive, radians (planes athwartships)."""
        return float(np.arctan2(self.v[0], self.v[2]))

    @property
    def cant(self) -> float:
        """How far the plane is turned about a vertical axis, its outboard end aft positive, radians."""
        return float(np.arctan2(self.u[0], self.u[1]))

    @property
    def centre(self) -> float:
        """The u at which the plane stands on the centreline, mm (planes athwartships, raked or canted).

        A face of a canted piece that was moved along its normal has it elsewhere than at 0.
        """
        return float(-self.origin[1] / self.u[1]) if self.origin[1] else 0.0

    def moved(self, distance: float) -> Plane:
        """The plane moved along its normal, mm; its u and v read the same square across."""
        return Plane(origin=self.origin + distance * self.normal, u=self.u, v=self.v)

    def height_over(self, points: FloatArray) -> FloatArray:
        """Signed distance of points (..., 3) from the plane, mm; shape (...)."""
        distance: FloatArray = (points - self.origin) @ self.normal
        return distance

    def flat(self, points: FloatArray) -> FloatArray:
        """The plane's own coordinates of points (..., 3): shape (..., 2), mm."""
        return np.stack([(points - self.origin) @ self.u, (points - self.origin) @ self.v], axis=-1)

    def space(self, uv: FloatArray) -> FloatArray:
        """The points in the boat, (..., 3), of the plane's own coordinates (..., 2)."""
        return self.origin + uv[..., :1] * self.u + uv[..., 1:] * self.v

    def up_at_height(self, z: float) -> float:
        """The v at which the plane stands at a height on the centreline, mm (planes athwartships)."""
        return float((z - self.origin[2]) / self.v[2])

    def level(self, z: float, u: FloatArray) -> FloatArray:
        """The v of a height at places across, shape of ``u``, mm (planes athwartships)."""
        return np.full_like(u, self.up_at_height(z))

    def level_line(self, z: float, first: float, last: float) -> FloatArray:
        """A height's line from one u to another, (n, 2), mm (planes athwartships)."""
        u = np.array([first, last])
        return np.stack([u, self.level(z, u)], axis=-1)

    def facing(self, points: FloatArray) -> FloatArray:
        """The unit normal at points (..., 3) of the face: (3,), or (..., 3) where it turns."""
        return self.normal

    def turned(self, siding: FloatArray, uv: FloatArray) -> FloatArray:
        """A direction square to the face, given on the centreline, at other places (n, 2): (3,), or (n, 3)."""
        return siding


def station_plane(x: float, *, rake: float = 0.0, cant: float = 0.0) -> Plane:
    """A plane athwartships that meets the centreline at height 0 at a distance aft.

    Args:
        x: mm aft of the table's origin, at height 0.
        rake: radians; the top leans aft when positive.
        cant: radians; turned about the vertical there, the starboard end swings aft when positive.  A plane is
            raked or canted, not both: its v then runs in the centreline plane.
    """
    return Plane(
        origin=np.array([x, 0.0, 0.0]),
        u=np.array([np.sin(cant), np.cos(cant), 0.0]),
        v=np.array([np.sin(rake), 0.0, np.cos(rake)]),
    )


def centre_plane(y: float = 0.0) -> Plane:
    """The centreline plane or one parallel to it; u runs aft, v up."""
    return Plane(origin=np.array([0.0, y, 0.0]), u=np.array([1.0, 0.0, 0.0]), v=np.array([0.0, 0.0, 1.0]))


def plane_through(fore: FloatArray, aft: FloatArray) -> Plane:
    """The plane square to the centreline plane through two points; origin at the fore one, v running aft.

    Args:
        fore, aft: shape (3,), mm; their y is not looked at.
    """
    along = np.array([aft[0] - fore[0], 0.0, aft[2] - fore[2]])
    return Plane(
        origin=np.array([fore[0], 0.0, fore[2]]),
        u=np.array([0.0, 1.0, 0.0]),
        v=along / np.linalg.norm(along),
    )
