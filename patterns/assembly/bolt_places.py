"""Where the bolts of one piece come through the face of another on which it lies: places, not sizes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from patterns.assembly.face_wood import FaceWood
from patterns.flat.shapes import ON_CENTRE
from patterns.pattern import Mark, Pattern
from patterns.text.wood_facts import said
from patterns.wood.facts import Fact

__all__ = ["bolt_marks"]


def bolt_marks(lying: Pattern, wood: FaceWood, face: int) -> Iterator[Mark]:
    """Crosses where the bolts drawn on a pattern pierce the face of another.

    Args:
        lying: the piece with the bolts, which lie in the middle of its thickness.
        wood: of the piece that it lies on.
        face: on which face.
    """
    if lying.plane is None:
        return
    middle, plane = lying.plane.moved(0.5 * lying.siding * lying.thickness), wood.planes[face]
    for line in lying.lines:
        if not line.bolt:
            continue
        ends = middle.space(line.points[[0, -1]] @ np.linalg.inv(lying.view).T)
        first, last = plane.height_over(ends)
        if first * last >= 0.0:  # it does not reach the face
            continue
        at = wood.drawn((ends[0] + first / (first - last) * (ends[1] - ends[0]))[None])[0]
        if shapely.distance(wood.faces[face], shapely.points(at)) < ON_CENTRE:
            fact = Fact("bolt-of", {"piece": lying.name})
            yield Mark(name=said(fact, str), at=(float(at[0]), float(at[1])), fact=fact)
