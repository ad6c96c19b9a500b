"""Where the bolts of one piece come through the face of another on which it lies: places, not sizes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from patterns.assembly.face_wood import FaceWood
from patterns.flat.shapes import ON_CENTRE
from patterns.hull.planes import FloatArray
from patterns.pattern import Mark, Pattern
from patterns.text.wood_facts import said
from patterns.wood.facts import Fact

__all__ = ["bolt_marks"]


def bolt_marks(
    lying: Pattern, wood: FaceWood, face: int, *, through: FaceWood | None = None, past: float = 0.0
) -> Iterator[Mark]:
    """Crosses where the bolts drawn on a pattern pierce the face of another.

    Args:
        lying: the piece with the bolts, which lie in the middle of its thickness.
        wood: of the piece that it lies on.
        face: on which face.
        through: of a piece between the two, through which the bolts go on; only those count that pass it.
        past: how far they are carried on, mm: the thickness of that piece.
    """
    if lying.plane is None:
        return
    middle, plane = lying.plane.moved(0.5 * lying.siding * lying.thickness), wood.planes[face]
    for line in lying.lines:
        if not line.bolt:
            continue
        ends = middle.space(line.points[[0, -1]] @ np.linalg.inv(lying.view).T)
        way = past * (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
        ends = ends + np.array([-way, way])
        first, last = plane.height_over(ends)
        if first * last >= 0.0:  # it does not reach the face
            continue
        place = (ends[0] + first / (first - last) * (ends[1] - ends[0]))[None]
        if through is not None and not _passes(through, place):
            continue
        at = wood.drawn(place)[0]
        if shapely.distance(wood.faces[face], shapely.points(at)) < ON_CENTRE:
            fact = Fact("bolt-of", {"piece": lying.name})
            yield Mark(name=said(fact, str), at=(float(at[0]), float(at[1])), fact=fact)


def _passes(wood: FaceWood, place: FloatArray) -> bool:
    """Whether a place (1, 3) lies square over the wood of a piece."""
    spot = shapely.points(wood.drawn(place)[0])
    return any(bool(shapely.distance(area, spot) < ON_CENTRE) for area in wood.faces)
