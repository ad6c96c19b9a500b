"""A frame put together, drawn from its own pieces: what lies where, to lay them on; no wood of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from patterns.flat.shapes import ON_CENTRE, outline_of, parts_of, without_centreline
from patterns.joinery.built import Built
from patterns.joinery.gussets import CENTRE, Gusset
from patterns.joinery.rings import CRUMB, TOP, half_lines
from patterns.pattern import Kind, Line, Pattern

__all__ = ["assembly_of"]

SHARED = 0.02  # mm; so near to each other two pieces' edges are one


def assembly_of(
    pattern: Pattern,
    built: Built,
    gussets: Sequence[Gusset],
    floors: Mapping[str, Any],
    *,
    extra: Sequence[Line],
) -> Pattern:
    """The frame put together.

    Args:
        pattern: of the whole ring, whose outlines give way to those of the pieces.
        floors: of each floor timber on the frame the wood against it (half), by its words.
        extra: more lines to draw (legs).
    """
    mine = {piece.name for piece in built.futtocks}
    mine |= {"deck"} if TOP in mine or built.futtocks else set()
    outlines = [
        Line(kind=kind, points=line.points, closed=line.closed)
        for kind, areas in (
            (Kind.SAW, [piece.saw for piece in built.futtocks]),
            (Kind.FACE, [piece.faces[0] for piece in built.futtocks]),
            (Kind.OTHER, [piece.faces[1] for piece in built.futtocks]),
        )
        for area in parts_of(shapely.union_all([shapely.buffer(each, SHARED) for each in areas]), least=CRUMB)
        for line in half_lines(kind, _back(area))
    ]
    kept = [line for line in pattern.lines if line.kind not in (Kind.SAW, Kind.FACE, Kind.OTHER)]
    return replace(
        pattern,
        quantity="1, to lay the pieces on; no wood of its own",
        body=None,
        depth_left={},
        lines=(
            *outlines,
            *_joints(built),
            *_gussets(gussets),
            *(line for words, wood in floors.items() for line in _landing(wood, words)),
            *kept,
            *extra,
        ),
        readings=tuple(reading for reading in pattern.readings if reading.edge in mine),
        behind_readings=tuple(reading for reading in pattern.behind_readings if reading.edge in mine),
        edges=tuple(edge for edge in pattern.edges if edge.strake in mine),
        facts=("The frame put together: lay its pieces on it and fasten them", *pattern.facts[1:]),
    )


def _back(area: Any) -> Any:
    """An area that was grown to join its pieces, as large as before, its edge on the centreline drawn up to it."""
    area = shapely.buffer(area, -SHARED, join_style="mitre")
    return (
        shapely.transform(
            area, lambda points: np.where(points <= [2.0 * SHARED, -np.inf], [0.0, 0.0], points)
        )
        if area.bounds[0] < ON_CENTRE
        else area
    )


def _joints(built: Built) -> Iterator[Line]:
    """Where two pieces meet, on the moulded face and, where it is another line, on the other."""
    for joint in built.joints:
        below, above = built.futtock(joint.below), built.futtock(joint.above)
        if below is None or above is None:
            continue
        drawn: Any = shapely.Point()
        for face, words in ((0, "joint"), (1, "joint on the other face")):
            seam = shapely.intersection(
                shapely.boundary(shapely.buffer(below.faces[face], SHARED)),
                shapely.buffer(above.faces[face], SHARED),
            )
            for part in shapely.get_parts(shapely.line_merge(seam)):
                new = part if drawn.is_empty else shapely.difference(part, shapely.buffer(drawn, 1.0))
                for run in shapely.get_parts(new):
                    if run.length > 5.0:
                        yield Line(kind=Kind.JOINT, points=np.asarray(run.coords), name=words)
            drawn = shapely.union(drawn, seam) if not drawn.is_empty else seam


def _gussets(gussets: Sequence[Gusset]) -> Iterator[Line]:
    for gusset in gussets:
        at = "centreline" if gusset.at == CENTRE else gusset.at
        yield from _landing(gusset.faces[0], f"{gusset.side} gusset at the {at}")


def _landing(wood: Any, words: str) -> Iterator[Line]:
    """The outline of what lies on the frame, without its edge on the centreline."""
    for run in without_centreline(outline_of(wood)):
        yield Line(kind=Kind.LANDING, points=run, name=words)
