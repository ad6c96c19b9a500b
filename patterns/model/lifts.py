"""Lifts of a half model: boards between level planes, sawn to the hull's level sections and glued into a stack."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.errors import RequestError
from patterns.flat.overlays import union
from patterns.hull.planes import FloatArray
from patterns.model.piece import ModelPiece, outlines_of
from patterns.model.solid import HullSolid

__all__ = ["Lift", "lift_pieces", "lifts_of"]

BETWEEN = 60  # half sections between the two faces of a board
CLOSED = 0.5  # of a board; hollows that are sharper than this are steps between those sections
MOST = 60  # boards; more is a slip of the scale or of the thickness
HAIR = 1e-6  # of a board; a level this near to the hull's lowest or highest place is moved inside


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lift:
    """One board of the stack; true mm, areas in distance aft and half-breadth.

    Attributes:
        number: from the lowest up, from 1.
        low, high: heights of its two faces above base.
        lower, upper: the hull's half section at each face; empty where the hull does not reach it.
        between: half sections at heights between them: a hull may be widest there.
    """

    number: int
    low: float
    high: float
    lower: Any
    upper: Any
    between: tuple[Any, ...] = ()

    @property
    def sawn(self) -> Any:
        """What is sawn of the board: all of the hull that is in it, seen from above."""
        area = union(self.lower, self.upper, *self.between)
        reach = CLOSED * (self.high - self.low)
        # Above the sheer's lowest place each section ends at the sheer: a step, which a saw runs through.
        return union(area, shapely.buffer(shapely.buffer(area, reach, quad_segs=32), -reach, quad_segs=32))


def lifts_of(solid: HullSolid, board: float) -> tuple[Lift, ...]:
    """The boards from the hull's lowest place up until her sheer is covered.

    Args:
        board: a board's thickness in the boat's own mm: the model's times its scale.
    Raises:
        RequestError: so many boards that scale or thickness must be a slip, or fewer than two.
    """
    count = math.ceil((solid.high - solid.low) / board - HAIR)
    if not 2 <= count <= MOST:
        raise RequestError(
            f"--board: {count} boards of this thickness make up the hull at this scale; "
            f"choose a thickness or a scale that gives 2 to {MOST}"
        )
    levels = [solid.low + i * board for i in range(count + 1)]
    cuts = [solid.level(min(max(z, solid.low + HAIR * board), solid.high - HAIR * board)) for z in levels]
    shares = np.arange(1, BETWEEN + 1) / (BETWEEN + 1)
    return tuple(
        Lift(
            number=i + 1,
            low=levels[i],
            high=levels[i + 1],
            lower=cuts[i],
            upper=cuts[i + 1],
            between=tuple(solid.level(levels[i] + float(share) * board) for share in shares),
        )
        for i in range(count)
    )


def lift_pieces(boat: Boat, lifts: tuple[Lift, ...], stock: str) -> tuple[ModelPiece, ...]:
    """The boards as pieces: the saw line of what either face needs, both faces, centreline and stations."""
    return tuple(_piece(boat, lift, stock) for lift in lifts)


def _piece(boat: Boat, lift: Lift, stock: str) -> ModelPiece:
    sawn = lift.sawn
    fore, _, aft, out = sawn.bounds
    stations = [
        (name, float(x))
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
        if fore < x < aft
    ]
    faces = [face for face in (lift.lower, lift.upper) if not face.equals(sawn)]
    return ModelPiece(
        name=f"lift {lift.number}",
        count=1,
        stock=stock,
        outlines=outlines_of(sawn),
        dashed=tuple(line for face in faces for line in outlines_of(face)),
        thin=tuple(np.array([[x, 0.0], [x, _half(sawn, x, out)]]) for _, x in stations),
        words=tuple((name, (x, 0.0)) for name, x in stations),
    )


def _half(area: Any, x: float, out: float) -> float:
    """How far out an area reaches at a distance aft."""
    points: FloatArray = np.vstack(outlines_of(area))
    near = points[np.argsort(points[:, 0])]
    upper = near[near[:, 1] > 0.0]
    return min(float(np.interp(x, upper[:, 0], upper[:, 1])), out)
