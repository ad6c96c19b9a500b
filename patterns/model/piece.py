"""A piece of a model as it is cut: outlines, thin lines and a number; true mm until it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from patterns.hull.planes import FloatArray

__all__ = ["ModelPiece", "outlines_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ModelPiece:
    """One piece of a model.

    Attributes:
        name: for the key.
        count: how many are cut.
        stock: what it is cut of, in words.
        outlines: closed lines (n, 2) that are cut along.
        dashed: closed lines of the other face.
        thin: open lines for reference.
        words: short words and their places.
    """

    name: str
    count: int
    stock: str
    outlines: tuple[FloatArray, ...]
    dashed: tuple[FloatArray, ...] = ()
    thin: tuple[FloatArray, ...] = ()
    words: tuple[tuple[str, tuple[float, float]], ...] = ()

    @property
    def size(self) -> FloatArray:
        """Its extent, (2,), mm."""
        found: FloatArray = np.ptp(np.vstack(self.outlines), axis=0)
        return found


def outlines_of(area: Any) -> tuple[FloatArray, ...]:
    """The outlines of an area and of its holes, each once round without its last point."""
    rings = [
        ring
        for part in shapely.get_parts(area)
        for ring in (part.exterior, *part.interiors)
        if shapely.get_dimensions(part) == 2
    ]
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in rings)
