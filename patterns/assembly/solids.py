"""Wood in space, for measuring piece against piece: its surface as points, and how deep a point lies in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from patterns.hull.planes import FloatArray
from patterns.wood.meeting import Mate

__all__ = ["Samples", "Solid", "with_side"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Samples:
    """Points of a surface.

    Attributes:
        points: shape (n, 3), mm.
        normals: shape (n, 3), unit vectors out of the wood.
    """

    points: FloatArray
    normals: FloatArray


class Solid(Protocol):
    """A piece of wood where it stands."""

    @property
    def piece(self) -> Mate:
        """The name of the piece, or which surface it is."""
        ...

    @property
    def name(self) -> str:
        """The same with its side where there are two: for words alone."""
        ...

    def box(self) -> tuple[FloatArray, FloatArray]:
        """Its least and greatest coordinates, two arrays (3,), mm."""
        ...

    def surface(self, step: float) -> Samples:
        """Its surface, sampled at ``step`` mm or less."""
        ...

    def depth(self, points: FloatArray) -> FloatArray:
        """How far points (n, 3) lie inside the wood, mm, shape (n,); less than 0 outside."""
        ...


def with_side(piece: str, *, mirrored: bool, port: bool) -> str:
    """A piece's name with its side where there is one on each."""
    if not mirrored:
        return piece
    return f"{piece} ({'port' if port else 'starboard'})"
