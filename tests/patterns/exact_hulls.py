"""Hulls whose lines are exact functions, so that sections and bevels have closed forms."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from patterns.hull.hull import FairCurves, Hull, TransomShape, build_hull
from patterns.hull.planes import FloatArray


@dataclass(frozen=True)
class Given:
    """A strake as a design gives it."""

    name: str
    between: tuple[str, str]
    planking: float
    sections: str = "straight"


@dataclass(frozen=True)
class ExactLine:
    """A line given by functions of its own parameter; derivatives by a complex step (exact to rounding)."""

    x: Callable[[FloatArray], FloatArray]
    y: Callable[[FloatArray], FloatArray]
    z: Callable[[FloatArray], FloatArray]
    start: float
    end: float
    straight_x: bool = True  # the parameter is the distance aft

    def at(self, t: FloatArray, nu: int = 0) -> FloatArray:
        t = np.asarray(t, dtype=float)
        if nu == 0:
            parts = [f(t) + 0.0 * t for f in (self.x, self.y, self.z)]
        else:
            step = 1e-30
            parts = [np.imag(f(t + 1j * step) + 0.0 * t) / step for f in (self.x, self.y, self.z)]
        return np.stack(parts, axis=-1)

    def t_at_x(self, x: FloatArray) -> FloatArray:
        assert self.straight_x
        return np.asarray(x, dtype=float)


def straight(a: tuple[float, float, float], b: tuple[float, float, float]) -> ExactLine:
    """The straight line through two points, by the distance aft."""
    (xa, ya, za), (xb, yb, zb) = a, b

    def y(x: FloatArray) -> FloatArray:
        return ya + (x - xa) * (yb - ya) / (xb - xa)

    def z(x: FloatArray) -> FloatArray:
        return za + (x - xa) * (zb - za) / (xb - xa)

    return ExactLine(lambda x: x, y, z, xa, xb)


def plane_sided(*, bottom: float = 9.0, side: float = 6.0, rake: float = np.radians(12.0)) -> Hull:
    """A wedge: flat bottom panels and flat sides, a straight raked stem, a transom raked 12 degrees.

    Bottom plane: z = tan(15 deg) y - 0.02 x ... both are planes, so every bevel is one number.
    """

    # bottom: z = 0.30 y + 40 - 0.010 x ; side: y = 120 + 0.20 x + 0.35 (z - 100), seen for x in 300..4000
    def chine_point(x: float) -> tuple[float, float, float]:
        y = (120 + 0.20 * x + 0.35 * (40 - 0.010 * x - 100)) / (1 - 0.35 * 0.30)
        return x, y, 0.30 * y + 40 - 0.010 * x

    def sheer_point(x: float) -> tuple[float, float, float]:
        z = 700.0 - 0.03 * x
        return x, 120 + 0.20 * x + 0.35 * (z - 100), z

    def keel_point(x: float) -> tuple[float, float, float]:
        return x, 0.0, 40 - 0.010 * x

    def to_transom(point: Callable[[float], tuple[float, float, float]]) -> float:
        x = 4000.0
        for _ in range(60):
            x = 4000.0 + np.tan(rake) * point(x)[2]
        return x

    lines = {
        name: straight(point(300.0), point(to_transom(point)))
        for name, point in (("chine", chine_point), ("sheer", sheer_point))
    }
    profile = straight(keel_point(300.0), keel_point(to_transom(keel_point)))
    return build_hull(
        FairCurves(profile=profile, lines=lines, keel="keel"),
        (Given("bottom", ("keel", "chine"), bottom), Given("side", ("chine", "sheer"), side)),
        stern=TransomShape(rake),
    )


BOTTOM_NORMAL = np.array([-0.010, 0.30, -1.0]) / np.linalg.norm([-0.010, 0.30, -1.0])
SIDE_NORMAL = np.array([-0.20, 1.0, -0.35]) / np.linalg.norm([-0.20, 1.0, -0.35])


def bottom_inside(points: FloatArray, t: float) -> FloatArray:
    """Signed distance of points (..., 3) outside of the bottom's inside face, mm."""
    return (points - np.array([0.0, 0.0, 40.0])) @ BOTTOM_NORMAL + t


def side_inside(points: FloatArray, t: float) -> FloatArray:
    """Signed distance of points (..., 3) outside of the side's inside face, mm."""
    return (points - np.array([0.0, 120.0, 100.0])) @ SIDE_NORMAL + t
