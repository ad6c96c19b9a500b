"""Turning and shifting the plane: one kind of map, its order written down once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tiling.drawing.model import XY, FloatArray

__all__ = ["Affine"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Affine:
    """The map ``x' = a*x + b*y + tx``, ``y' = c*x + d*y + ty``; ``f.then(g)`` does ``f`` first."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    tx: float = 0.0
    ty: float = 0.0

    @classmethod
    def shift(cls, tx: float, ty: float) -> Affine:
        """Move by ``(tx, ty)``."""
        return cls(tx=tx, ty=ty)

    @classmethod
    def quarter_turn(cls) -> Affine:
        """Turn by 90 degrees anticlockwise about the origin, exactly."""
        return cls(a=0.0, b=-1.0, c=1.0, d=0.0)

    @classmethod
    def turn(cls, angle: float) -> Affine:
        """Turn anticlockwise about the origin by ``angle`` radians; quarters exactly."""
        quarters = angle / (0.5 * math.pi)
        if abs(quarters - round(quarters)) < 1e-9:
            c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
        else:
            c, s = math.cos(angle), math.sin(angle)
        return cls(a=c, b=-s, c=s, d=c)

    def then(self, after: Affine) -> Affine:
        """This map, and ``after`` on what it gives."""
        return Affine(
            a=after.a * self.a + after.b * self.c,
            b=after.a * self.b + after.b * self.d,
            c=after.c * self.a + after.d * self.c,
            d=after.c * self.b + after.d * self.d,
            tx=after.a * self.tx + after.b * self.ty + after.tx,
            ty=after.c * self.tx + after.d * self.ty + after.ty,
        )

    def inverse(self) -> Affine:
        """The map that undoes this one.

        Raises:
            ZeroDivisionError: this map flattens the plane.
        """
        det = self.a * self.d - self.b * self.c
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Affine(a=a, b=b, c=c, d=d, tx=-(a * self.tx + b * self.ty), ty=-(c * self.tx + d * self.ty))

    def at(self, point: XY) -> XY:
        """Where one point goes."""
        x, y = point
        return self.a * x + self.b * y + self.tx, self.c * x + self.d * y + self.ty

    def direction(self, way: XY) -> XY:
        """Where a direction points afterwards (the shift left out)."""
        x, y = way
        return self.a * x + self.b * y, self.c * x + self.d * y

    def apply(self, points: FloatArray) -> FloatArray:
        """Where many points go; shape (n, 2) in and out."""
        x, y = points[:, 0], points[:, 1]
        out = np.empty((len(points), 2))
        out[:, 0] = self.a * x + self.b * y + self.tx
        out[:, 1] = self.c * x + self.d * y + self.ty
        return out
