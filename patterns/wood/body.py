"""The wood of a piece where it lies in the boat, between two parallel faces."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.hull.planes import FloatArray, Plane
from patterns.wood.region import Area

__all__ = ["Body"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """The wood of a piece where it lies in the boat, for measuring piece against piece.

    Attributes:
        plane: of its moulded face.
        depth: to its other face along the plane's normal, mm; less than 0 where the wood lies against the normal.
        moulded, other: the area of wood on each of the two faces, both in the plane's u and v, with notches and
            holes taken out, before any room is added for fitting.  Between the faces the wood's edges run straight.
        mirrored: the same piece stands on the port side too; a piece across the centreline gives its whole area.
        edge: the moulded face's outlines and, point for point, the other face's: (n, 2), closed, anticlockwise;
            needed only where a steep bevel leaves it open which point lies opposite which.
    """

    plane: Plane
    depth: float
    moulded: Area
    other: Area
    mirrored: bool = False
    edge: tuple[tuple[FloatArray, FloatArray], ...] = ()
