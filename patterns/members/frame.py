"""The built frame: a ring inside the planking, open at the top, its heads cut by the deck."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.file import FrameSpec
from patterns.errors import PatternsError
from patterns.hull.planes import Plane, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.members.canted import cant_words, canted_pattern
from patterns.members.ringed import notches_in, ring_pattern
from patterns.members.rings import build_ring
from patterns.members.wood import Piece, looking, rake_words, wood_words
from patterns.pattern import Pattern

__all__ = ["frame_faces", "pieces"]


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every frame in the design."""
    for spec in boat.design.frames:
        yield f'frame "{spec.name}"', partial(_frame, boat, spec)


def frame_faces(boat: Boat, spec: FrameSpec) -> tuple[Plane, Plane, float]:
    """The moulded face, the other face, and which way the siding runs (1 aft, -1 forward).

    Where the design does not say, the siding runs away from the station of greatest breadth, so that most
    bevels are under.
    """
    x = boat.distance(spec.at)
    if spec.siding_runs is None:
        sense = -1.0 if x < boat.hull.widest else 1.0
    else:
        sense = 1.0 if spec.siding_runs == "aft" else -1.0
    moulded = station_plane(x, rake=spec.rake, cant=spec.cant)
    return moulded, moulded.moved(sense * spec.sided), sense


def _frame(boat: Boat, spec: FrameSpec) -> tuple[Pattern, ...]:
    """One frame: both faces, saw line, bevels, notches."""
    moulded, other, sense = frame_faces(boat, spec)
    sections = cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)
    _clear_of_transom(boat, sections)
    notches = notches_in(boat, sections[0]), notches_in(boat, sections[1])
    depth = dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.moulded_side)
    if len(boat.hull.strakes) > 1:
        depth[boat.hull.strakes[0].name] = spec.moulded_bottom
    face, _, _ = looking(sense)
    stands = f"Moulded face: the {face} one, {boat.length_words(moulded.origin[0])} aft"
    if spec.rake:
        stands += f" at height 0; {rake_words(spec.rake)}"
    if spec.cant:
        stands += f" on the centreline; {cant_words(spec.cant)}"
    shape = canted_pattern if spec.cant else ring_pattern
    pattern = shape(
        boat,
        build_ring(sections, notches, depth),
        moulded,
        sense=sense,
        name=f"frame {spec.name}",
        member="frame",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        facts=(*wood_words(spec), stands),
    )
    return (pattern,)


def _clear_of_transom(boat: Boat, sections: tuple[Section, Section]) -> None:
    """See that the frame stands forward of everything that belongs to the transom.

    Raises:
        PatternsError: it does not; the message says by how much.
    """
    stern = boat.design.stern
    fore_face = boat.hull.transom.moved(-(stern.panel + (stern.framing or 0.0)))
    into = max(
        float(fore_face.height_over(section.plane.space(section.outline())).max()) for section in sections
    )
    if into > 0.0:
        raise PatternsError(
            f"it runs {np.ceil(into):.0f} mm into the transom; move it forward by that or more"
        )
