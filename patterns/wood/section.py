"""What a plane cuts from a hull as labelled wood: the area inside planking and deck, and what its edges are cut of.

A label's source (the surface's trace, or a repair's gauge readings) answers for the bevel; two outlines are never
compared for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np
import shapely

from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.flat.shapes import HAIR_WIDE, ON_CENTRE, up_to_the_centreline, without_hairs
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.wood.labels import Centre, Deck, Free, Label, Planking
from patterns.wood.region import Region, Stretch

__all__ = [
    "SectionCut",
    "hairless",
    "runs_under",
    "section_region",
    "sources_of",
    "to_the_centreline",
    "wood_on_left",
]

MOVED = 4.0 * HAIR_WIDE  # mm by which taking hairs off may have moved an edge
SAME = 1e-9  # mm; nearer points of two traces are one


class SectionCut(Protocol):
    """One plane's cut through a hull on the starboard side: of a faired boat, or of a measured frame."""

    @property
    def plane(self) -> Plane: ...
    @property
    def traces(self) -> Mapping[str, Trace]:
        """The inside of planking by strake, from the keel up."""
        ...

    @property
    def deck(self) -> Trace | None:
        """The deck's underside from the centreline out to the side; None where a frame alone is known."""
        ...


def sources_of(section: SectionCut) -> dict[Label, Trace]:
    """The source of each label on a section's edge, from the keel up, the deck last."""
    planking: dict[Label, Trace] = {Planking(name): trace for name, trace in section.traces.items()}
    return planking if section.deck is None else {**planking, Deck(): section.deck}


def section_region(section: SectionCut) -> Region:
    """Half of a section, its edges labelled.

    Raises:
        PatternsError: it crosses itself, as where a line lies on the wrong side of another.
    """
    points: list[FloatArray] = []
    labels: list[Label] = []  # of the segment that leads to each point
    for label, trace in sources_of(section).items():
        uv = trace.uv if isinstance(label, Planking) else trace.uv[::-1][1:]
        points.append(uv)
        # Where two insides do not meet there is a step, square to the chine, that lies on neither of them.
        first: Label = Free() if isinstance(label, Planking) else label
        labels += [first, *[label] * (len(uv) - 1)]
    outline = np.vstack(points)
    edge = sum(len(each) for each in points[:-1])
    kept = np.append(True, np.hypot(*np.diff(outline, axis=0).T) > SAME)
    kept[edge:] = True
    following = [label for label, keep in zip(labels, kept, strict=True) if keep]
    try:
        return Region.within(outline[kept], [*following[1:], Centre()])
    except ValueError as error:
        raise PatternsError(
            "the planking crosses itself here; look at the offsets near it, and where a strake of it has "
            'sections = "developable", write "straight" there'
        ) from error


def hairless(wood: Region) -> Region:
    """Wood without the hair-thin spikes that cutting one area out of another may leave along a shared edge."""
    return wood.changed(without_hairs(wood.area), within=MOVED)


def to_the_centreline(half: Region) -> Region:
    """A half without the hairs of wood along the line u = 0 that its making may leave, its edge drawn up to it."""
    moved = half.changed(up_to_the_centreline(half.area), within=2.0 * ON_CENTRE, otherwise=Centre())
    return moved.relabelled((moved.segments[:, :, 0] == 0.0).all(axis=1), Centre())


def wood_on_left(stretch: Stretch, source: Trace) -> bool:
    """Whether the wood lies on the left of a source that lies under a stretch of edge."""
    ends = shapely.points(stretch.points[[0, -1]])
    first, last = shapely.line_locate_point(shapely.linestrings(source.uv), ends)
    return bool(last > first)


def runs_under(stretches: Sequence[Stretch], source: Trace) -> list[Trace]:
    """The parts of a source that lie under stretches of edge, with exact ends, in the source's order."""
    line, run = shapely.linestrings(source.uv), lengths(source.uv)
    places = []
    for stretch in stretches:
        ends = shapely.line_locate_point(line, shapely.points(stretch.points[[0, -1]]))
        first, last = np.sort(np.interp(ends, run, np.arange(len(run))))
        if last > first:
            places.append((float(first), float(last)))
    return [source.between(first, last) for first, last in sorted(places)]
