"""The surfaces of the hull: strakes ruled between two lines, and the deck.

Every surface is a map from two parameters: ``p`` runs fore and aft, ``r`` across (0 on the lower or inner
edge, 1 on the upper or outer one).  Both may run somewhat past their ends.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from patterns.hull.planes import FloatArray, cross

__all__ = [
    "Curve",
    "DeckSurface",
    "Edge",
    "Patch",
    "Ruled",
    "Surface",
    "abreast",
    "by_itself",
    "crown_radius",
    "moved",
]


LEAST_LEAN = 1e-4  # of a stem's rake, as a slope; a smaller one is plumb
PLUMB = 2e-5  # the slope that a plumb stem is given: 0.02 mm in 1 m of its height


class Curve(Protocol):
    """A line in space."""

    @property
    def start(self) -> float: ...
    @property
    def end(self) -> float: ...
    def at(self, t: FloatArray, nu: int = 0) -> FloatArray:
        """Points (..., 3), or the nu-th derivatives by the parameter, mm."""
        ...

    def t_at_x(self, x: FloatArray) -> FloatArray:
        """The parameter at a distance aft."""
        ...


Edge = Callable[[FloatArray], tuple[FloatArray, FloatArray]]
"""From the surface's ``p`` (n,) to points (n, 3) and their derivatives by ``p`` (n, 3)."""


class Surface(Protocol):
    """A piece of surface, on the starboard side."""

    @property
    def start(self) -> float: ...
    @property
    def end(self) -> float: ...
    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Points, their derivatives by p and by r: each (..., 3), or able to spread to it.

        ``p`` and ``r`` are of one shape (...), or spread to it: a column of p with a row of r is quicker than
        a full grid of both.
        """
        ...

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        """The unit normals, (..., 3), that point out of the boat."""
        ...


class Ruled(Surface, Protocol):
    """A piece of a strake: straight lines join its two edges."""

    @property
    def lower(self) -> Edge: ...
    @property
    def upper(self) -> Edge: ...


def unit(vectors: FloatArray) -> FloatArray:
    """Vectors (..., 3) made 1 long; one of no length stays as it is."""
    length = np.sqrt((vectors * vectors).sum(axis=-1, keepdims=True))
    return np.asarray(vectors / np.where(length > 0.0, length, 1.0))


def by_itself(curve: Curve) -> Edge:
    """An edge whose parameter is the curve's own."""

    def edge(p: FloatArray) -> tuple[FloatArray, FloatArray]:
        return curve.at(p), curve.at(p, 1)

    return edge


def abreast(curve: Curve, leader: Curve | None = None, *, ends: tuple[float, float] | None = None) -> Edge:
    """An edge whose parameter is the distance aft, or the place abreast of a leading curve.

    Straight sections join points of equal distance aft; the leader (the profile line, whose parameter is
    not the distance aft) gives that distance.

    Args:
        ends: the leader's parameters where the curve meets it.  Where it stands plumb there all of it is abreast of
            one place, and no surface would be left between the two: it is taken to lean by `PLUMB`.
    """
    first, last = (0.0, 1.0) if ends is None else ends
    leans = leader is not None and np.abs(leader.at(np.array([first, last]), 1)[:, 0]).min() < LEAST_LEAN
    lean, turn = (PLUMB if leans and ends is not None else 0.0), 2.0 * np.pi / (last - first)

    def edge(p: FloatArray) -> tuple[FloatArray, FloatArray]:
        if leader is None:
            x, x_by_p = p, np.ones_like(p)
        else:
            x, x_by_p = leader.at(p)[..., 0], leader.at(p, 1)[..., 0]
            if lean:  # nothing at either end, and aft by the same slope from both
                x = x + lean / turn * np.sin(turn * (p - first))
                x_by_p = x_by_p + lean * np.cos(turn * (p - first))
        t = curve.t_at_x(x)
        slope = curve.at(t, 1)
        # At a blunt end the curve's own distance stands still; the direction matters there, not the pace.
        pace = np.where(np.abs(slope[..., :1]) > 1e-9, slope[..., :1], 1e-9)
        return curve.at(t), slope / pace * x_by_p[..., None]

    return edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """A ruled piece of a strake: straight lines join its two edges at equal ``p``."""

    lower: Edge
    upper: Edge
    start: float
    end: float

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """See `Surface.shape`."""
        (a, a_by_p), (b, b_by_p) = self.lower(p), self.upper(p)
        across, r1 = b - a, r[..., None]
        return a + r1 * across, a_by_p + r1 * (b_by_p - a_by_p), across

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        """See `Surface.outward`; across runs up and out, along runs aft."""
        return unit(cross(by_r, by_p))


def crown_radius(breadth: float, rise: float) -> float:
    """The radius of the arc of a beam mould, in the unit of its breadth and rise.

    Source: the circle through both ends and the crown, B^2/(8h) + h/2 (sagitta of an arc).
    """
    return breadth**2 / (8.0 * rise) + 0.5 * rise


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckSurface:
    """The deck through the sheer line: a crown that lives in planes square to x.

    ``r`` is the part of the half-breadth, 0 on the centreline, 1 at the sheer.

    Attributes:
        sheer: the line at the deck's edge.
        radius: of the common mould's arc, mm; None where the crown is a part of the breadth or there is none.
        rise: crown as a part of the whole breadth (1/24 is half an inch in the foot); 0 is a level deck.
    """

    sheer: Curve
    start: float
    end: float
    radius: float | None = None
    rise: float = 0.0

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """See `Surface.shape`; ``p`` is the distance aft.

        The arc is `crown_radius`'s.
        """
        edge, slope = abreast(self.sheer)(p)
        half, half_by_p = edge[..., 1], slope[..., 1]
        y, y_by_p = r * half, r * half_by_p
        z, z_by_p, z_by_r = edge[..., 2], slope[..., 2], np.zeros_like(y)
        if self.radius is not None or self.rise > 0.0:
            if self.radius is not None:
                radius, radius_by_p = np.full_like(half, self.radius), np.zeros_like(half)
            else:
                share = 1.0 / (4.0 * self.rise) + self.rise
                radius, radius_by_p = half * share, half_by_p * share
            over, at_edge = np.sqrt(radius**2 - y**2), np.sqrt(radius**2 - half**2)
            z = z + over - at_edge
            z_by_p = z_by_p + (radius * radius_by_p - y * y_by_p) / over
            z_by_p = z_by_p - (radius * radius_by_p - half * half_by_p) / at_edge
            z_by_r = -y * half / over
        x, half, y_by_p = (np.broadcast_to(a, y.shape) for a in (edge[..., 0], half, y_by_p))
        z, z_by_p = (np.broadcast_to(a, y.shape) for a in (z, z_by_p))
        return (
            np.stack([x, y, z], axis=-1),
            np.stack([np.ones_like(y), y_by_p, z_by_p], axis=-1),
            np.stack([np.zeros_like(y), half, z_by_r], axis=-1),
        )

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        """See `Surface.outward`; out is up."""
        return unit(cross(by_p, by_r))


def moved(surface: Surface, p: FloatArray, r: FloatArray, inset: float) -> tuple[FloatArray, FloatArray]:
    """Points of the surface moved inward along its own normal by ``inset`` mm, and the outward normals.

    Returns:
        Two arrays (..., 3).  A moved surface has the same normals as the surface it came from.
    """
    points, by_p, by_r = surface.shape(p, r)
    normals = surface.outward(by_p, by_r)
    return points - inset * normals, normals
