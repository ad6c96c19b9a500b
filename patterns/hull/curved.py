"""A face curved to a cylinder, as a transom's is: drawn unrolled, so that a true shape lies flat on paper.

The cylinder's straight elements run along v of the plane that touches it on the centreline; it is convex on the
side of that plane's normal.

A curved raked transom is part of a cylinder whose straight elements are the buttocks; it is expanded along them
(the source stands beside its test).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.hull.planes import FloatArray, Plane

__all__ = ["Curved", "curved_face", "hollow", "leaning", "own_face", "stretch_of"]

LEVEL_POINTS = 97  # of a level line across a curved face


def hollow(y: FloatArray, radius: float | None) -> FloatArray:
    """How far a curved face has fallen behind its touching plane at breadths y from the centreline, mm, (...).

    0 everywhere where there is no radius.  Source: sagitta, r - sqrt(r^2 - y^2).
    """
    if radius is None:
        return np.zeros_like(y)
    away = np.minimum(np.abs(y), radius)
    return radius - np.sqrt(radius**2 - away**2)


def leaning(x: FloatArray, z: FloatArray, behind: FloatArray) -> float:
    """The rake, radians, of the straight line that fits points best whose hollows behind it, (n,) mm, are known."""
    lean = 0.0
    for _ in range(12 if behind.any() else 1):
        there = x + behind / np.cos(lean)
        lean = float(np.arctan(np.polyfit(z, there, 1)[0])) if np.ptp(z) > 0.0 else 0.0
    return lean


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curved(Plane):
    """A cylinder's face.  ``origin``, ``u``, ``v``, ``normal``: of the touching plane on the centreline.

    It is convex on the normal's side where the radii are positive, and hollow there where they are negative.

    A point's own coordinates are ``u``, its distance from the centreline along the girth of the drawn radius, and
    ``v``.  All faces of one piece are drawn at one radius, so that a hole square through the wood has one place.

    Attributes:
        radius: of the face, mm.
        drawn: the radius at which u is measured, mm: that of the piece's moulded face; its sign is the radius's.
    """

    radius: float
    drawn: float

    @property
    def _axis(self) -> FloatArray:
        return self.origin - self.radius * self.normal

    @property
    def _sign(self) -> float:
        return float(np.sign(self.radius))

    def moved(self, distance: float) -> Curved:
        """See `Plane.moved`: a cylinder about the same axis."""
        return Curved(
            origin=self.origin + distance * self.normal,
            u=self.u,
            v=self.v,
            radius=self.radius + distance,
            drawn=self.drawn,
        )

    def height_over(self, points: FloatArray) -> FloatArray:
        """See `Plane.height_over`: the distance outside of the cylinder (inside of a hollow one), square to it.

        Before the axis there is no face, though the cylinder has another side there: all of it counts as inside.
        """
        off = points - self._axis
        out, ahead = off @ self.u, self._sign * (off @ self.normal)
        over: FloatArray = self._sign * np.where(ahead > 0.0, np.hypot(out, ahead), ahead) - self.radius
        return over

    def flat(self, points: FloatArray) -> FloatArray:
        """See `Plane.flat`: u = drawn x the angle at the axis."""
        off = points - self._axis
        angle = np.arctan2(self._sign * (off @ self.u), self._sign * (off @ self.normal))
        return np.stack([self.drawn * angle, off @ self.v], axis=-1)

    def space(self, uv: FloatArray) -> FloatArray:
        """See `Plane.space`."""
        return self._axis + self.radius * self._out(uv) + uv[..., 1:] * self.v

    def _out(self, uv: FloatArray) -> FloatArray:
        angle = uv[..., :1] / self.drawn
        out: FloatArray = np.sin(angle) * self.u + np.cos(angle) * self.normal
        return out

    def facing(self, points: FloatArray) -> FloatArray:
        """See `Plane.facing`."""
        return self._out(self.flat(points))

    def turned(self, siding: FloatArray, uv: FloatArray) -> FloatArray:
        """See `Plane.turned`."""
        return float(np.sign(siding @ self.normal)) * self._out(uv)

    def level(self, z: float, u: FloatArray) -> FloatArray:
        """See `Plane.level`: a waterline on a raked cylinder is curved when it is unrolled."""
        fallen = self.radius * (1.0 - np.cos(u / self.drawn))
        v: FloatArray = (z - self.origin[2] + fallen * self.normal[2]) / self.v[2]
        return v

    def level_line(self, z: float, first: float, last: float) -> FloatArray:
        """See `Plane.level_line`."""
        u = np.linspace(first, last, LEVEL_POINTS)
        return np.stack([u, self.level(z, u)], axis=-1)


def stretch_of(face: Plane) -> float:
    """A face's true breadths along the girth over those that are drawn; 1 for a plane."""
    return face.radius / face.drawn if isinstance(face, Curved) else 1.0


def own_face(face: Plane) -> Plane:
    """A face drawn at its own radius: what a piece's moulded face must be; a plane is that already."""
    if not isinstance(face, Curved):
        return face
    return Curved(origin=face.origin, u=face.u, v=face.v, radius=face.radius, drawn=face.radius)


def curved_face(touching: Plane, radius: float) -> Curved:
    """The cylinder's face that touches a plane on the centreline, drawn at its own radius, mm."""
    return Curved(origin=touching.origin, u=touching.u, v=touching.v, radius=radius, drawn=radius)
