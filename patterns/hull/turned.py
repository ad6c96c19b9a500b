"""The hull seen from its other end: x changes its sign, forward and aft change places."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from patterns.hull.curved import Curved
from patterns.hull.hull import TURNED, Hull, Strake
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.surfaces import Curve, Edge, Ruled

__all__ = ["TURNED", "turned_hull", "turned_plane"]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A line in space run through from its other end."""

    of: Curve

    @property
    def start(self) -> float:
        return -self.of.end

    @property
    def end(self) -> float:
        return -self.of.start

    def at(self, t: FloatArray, nu: int = 0) -> FloatArray:
        """See `Curve.at`."""
        turned: FloatArray = (-1.0) ** nu * TURNED * self.of.at(-np.asarray(t), nu)
        return turned

    def t_at_x(self, x: FloatArray) -> FloatArray:
        """See `Curve.t_at_x`."""
        return -self.of.t_at_x(-np.asarray(x))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """A piece of a strake run through from its other end."""

    of: Ruled
    lower: Edge
    upper: Edge

    @property
    def start(self) -> float:
        return -self.of.end

    @property
    def end(self) -> float:
        return -self.of.start

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """See `Surface.shape`."""
        points, by_p, by_r = self.of.shape(-p, r)
        return TURNED * points, -TURNED * by_p, TURNED * by_r

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        """See `Surface.outward`: both p and x have changed their sign, so the rule is the same."""
        return self.of.outward(by_p, by_r)


def _edge(of: Edge) -> Edge:
    def edge(p: FloatArray) -> tuple[FloatArray, FloatArray]:
        points, by_p = of(-p)
        return TURNED * points, -TURNED * by_p

    return edge


def _strake(strake: Strake) -> Strake:
    pieces = tuple(
        _Piece(of=piece, lower=_edge(piece.lower), upper=_edge(piece.upper)) for piece in strake.patches[::-1]
    )
    return replace(
        strake,
        patches=pieces,
        main=len(pieces) - 1 - strake.main,
        stems=(strake.stems[1], strake.stems[0]),
    )


def turned_plane(plane: Plane) -> Plane:
    """The plane seen from the other end: u and v read the same; the normal is that of the two.

    A cylinder convex on its normal's side is hollow there then: the new normal is the other way.
    """
    if isinstance(plane, Curved):
        return Curved(
            origin=TURNED * plane.origin + 0.0,
            u=TURNED * plane.u + 0.0,
            v=TURNED * plane.v + 0.0,
            radius=-plane.radius,
            drawn=-plane.drawn,
        )
    return Plane(origin=TURNED * plane.origin + 0.0, u=TURNED * plane.u + 0.0, v=TURNED * plane.v + 0.0)


def turned_hull(hull: Hull) -> Hull:
    """The same hull with its bow for its stern."""
    lines: dict[str, Curve] = {name: _Line(of=line) for name, line in hull.lines.items()}
    sheer = list(lines.values())[-1]
    aftmost = -float(hull.profile.at(np.array(hull.profile.start))[0])
    return replace(
        hull,
        profile=_Line(of=hull.profile),
        lines=lines,
        strakes=tuple(_strake(strake) for strake in hull.strakes),
        deck=replace(hull.deck, sheer=sheer, start=-hull.deck.end, end=-hull.deck.start),
        transom=hull.bow_face if hull.bow_face is not None else station_plane(aftmost),
        bow_face=None if hull.stems[1] else hull.transom,
        widest=-hull.widest,
        stems=(hull.stems[1], hull.stems[0]),
    )
