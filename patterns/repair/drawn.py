"""What the pieces of a repair have on their faces alike: corners, notches, level lines; and their grain."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.joinery.flat_pieces import xy
from patterns.joinery.wood import waterlines_scribed
from patterns.repair.fairing import HEEL
from patterns.repair.notches import MeasuredNotch
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.section import STEP, MeasuredSection, section_at
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance, Note, Scribed
from patterns.wood.piece import Face
from patterns.wood.region import Region
from patterns.wood.section import sources_of

__all__ = ["corner_notes", "distance", "face_of", "grain_of", "levels"]


def corner_notes(edge: Edge) -> Iterator[Note]:
    """Crosses at the corners, one at a step; heel, head and the places of joints are seen by themselves."""
    last: tuple[str, FloatArray] | None = None
    for name, at in zip(edge.corners[1:-1], edge.corner_places[1:-1], strict=True):
        again = last is not None and last[0] == name and np.hypot(*(at - last[1])) < STEP
        if name and name != HEEL and not again:
            last = name, at
            yield Note(fact=Fact("planking-corner", {"line": name}), at=xy(at))


def face_of(
    section: MeasuredSection,
    wood: Region,
    notches: Sequence[MeasuredNotch],
    *,
    shown: Edge,
    crossed: bool = True,
    notes: Sequence[Note] = (),
    scribed: Sequence[Scribed] = (),
) -> Face:
    """One face of a piece.

    Args:
        shown: the part of the edge that it has; its joints may lie in a sliver of the next stretch.
        crossed: its corners are marked.
        notes, scribed: what is its own.
    """
    corners = corner_notes(shown) if crossed else ()
    own = sources_of(section_at(shown, section.depth, section.behind))
    return Face(
        region=wood,
        sources={label: trace for label, trace in sources_of(section).items() if label in own},
        notes=(*corners, *(notch.note() for notch in notches), *notes),
        scribed=tuple(scribed),
    )


def levels(repair: Repair, saw: Any, section: MeasuredSection) -> list[Scribed]:
    """The waterlines that are asked for."""
    return waterlines_scribed(repair.marks.waterlines, saw, section.plane)


def distance(start: XY, end: XY, first: str, last: str) -> Distance:
    """From one named place to another."""
    return Distance(fact=Fact("from-place-to-place", {"first": first, "last": last}), start=start, end=end)


def grain_of(edge: Edge) -> XY:
    """Along the chord of an edge."""
    chord = edge.points[-1] - edge.points[0]
    return xy(chord / np.hypot(*chord))
