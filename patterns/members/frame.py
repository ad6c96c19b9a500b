"""The built frame: a ring inside the planking, open at the top, its heads cut by the deck."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.file import FrameSpec, TransomEnd
from patterns.design.frame_models import GussetSpec
from patterns.design.kind import Table
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import largest
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.built import Built, built_of
from patterns.joinery.canted import WORDS as CANTED_WORDS
from patterns.joinery.canted import canted_piece
from patterns.joinery.dowels import dowels_by_member, dowels_of
from patterns.joinery.frame_assembly import assembly_of
from patterns.joinery.futtocks import futtock_pieces
from patterns.joinery.gusset_patterns import gusset_meetings, gusset_pieces
from patterns.joinery.gussets import gussets_of
from patterns.joinery.legs import Legs, legs_of
from patterns.joinery.limbers import Limber, limbers_beside, without_limbers
from patterns.joinery.passages import passages
from patterns.joinery.put_together import put_together_facts
from patterns.joinery.ringed import breadth_facts, ring_piece
from patterns.joinery.rings import Ring, build_ring
from patterns.joinery.set_up import set_up_facts
from patterns.joinery.wood import Wanted, looking, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.frame_rules import (
    STARTER,
    frame_bounds,
    frame_misses,
    frame_rules,
    gusset_bounds,
    gusset_rules,
)
from patterns.pattern import Pattern
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.meeting import NotMade
from patterns.wood.piece import Piece
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "frame_pieces", "pieces"]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every frame in the design."""
    for spec in boat.design.frames:
        yield f'frame "{spec.name}"', partial(_frame, boat, spec)


def _frame(boat: Boat, spec: FrameSpec) -> tuple[Pattern, ...]:
    words = CANTED_WORDS if spec.cant else None
    return tuple(pattern_of(boat, piece, words) for piece in frame_pieces(boat, spec))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Frame:
    """A frame put together, before it becomes pieces.

    Attributes:
        ring: with its limber holes cut.
        sense: 1 where the wood runs aft from the moulded face, -1 where forward.
        stands: where its moulded face is.
        legs: the legs on which it stands on the building base; None where it has none.
    """

    spec: FrameSpec
    ring: Ring
    sense: float
    limbers: tuple[Limber, ...]
    stands: Fact
    legs: Legs | None

    @property
    def leg_lines(self) -> tuple[Scribed, ...]:
        """What of its legs is drawn on it."""
        return () if self.legs is None else tuple(self.legs.lines)

    @property
    def leg_facts(self) -> tuple[Fact, ...]:
        """What is known of its legs."""
        return () if self.legs is None else tuple(self.legs.facts)


def frame_pieces(boat: Boat, spec: FrameSpec) -> tuple[Piece, ...]:
    """One frame, as a ring or piece by piece.

    Raises:
        PatternsError: it runs into a transom, or no wood is left between its mouldings and notches.
    """
    frame = _frame_of(boat, spec)
    if spec.pieces == "one ring":
        return (_as_ring(boat, frame, f"frame {spec.name}"),)
    built = built_of(boat, spec, frame.ring, sense=frame.sense, limbers=frame.limbers)
    made = tuple(_built_pieces(boat, frame, built))
    if not spec.assembly:
        return made
    return *made, assembly_of(_as_ring(boat, frame, f"frame {spec.name} assembly"), built)


def _frame_of(boat: Boat, spec: FrameSpec) -> _Frame:
    """The frame put together."""
    moulded, other, sense = boat.frame_faces(spec)
    sections = cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)
    _clear_of_transom(boat, sections)
    passing = passages(boat, f"frame {spec.name}", sections)
    depth = dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.moulded_side)
    if len(boat.hull.strakes) > 1:
        depth[boat.hull.strakes[0].name] = spec.moulded_bottom
    ring = build_ring(
        sections,
        passing,
        depth,
        top=spec.top_piece,
        straight=spec.inner_edge == "straight",
        radius=spec.inner_radius,
        inner=_inner_line(spec, moulded),
    )
    limbers: tuple[Limber, ...] = ()
    if spec.limber_holes is not None:
        limbers = limbers_beside(sections, passing.notches, spec.limber_at, spec.limber_holes)
        wood = without_limbers(ring.wood[0], limbers), without_limbers(ring.wood[1], limbers)
        ring = replace(ring, wood=wood, saw=largest(overlays.union(wood[0].area, wood[1].area)))
    face, _, _ = looking(sense)
    at = {"face": face, "aft": float(moulded.origin[0]), "rake": spec.rake or None, "cant": spec.cant}
    return _Frame(
        spec=spec,
        ring=ring,
        sense=sense,
        limbers=limbers,
        stands=Fact("moulded-face", at),
        legs=None if spec.cant else legs_of(boat, ring, sense=sense),
    )


def _built_pieces(boat: Boat, frame: _Frame, built: Built) -> Iterator[Piece]:
    """Its futtocks and gussets."""
    section = frame.ring.sections[0]
    gussets = gussets_of(boat, built)
    between = (each for each in built.meetings if not isinstance(each.on, NotMade))
    meetings = (*between, *gusset_meetings(built, gussets))
    highest = list(section.traces)[-1]
    together_by = (*breadth_facts(section), *set_up_facts(boat, section))
    if not frame.spec.cant:  # the two halves of a canted frame lie in two planes
        faces = [piece.wood[0] for piece in built.futtocks]
        together_by = (*together_by, *put_together_facts(boat, section, faces))
    dowels = dowels_of(built, gussets)
    yield from futtock_pieces(
        boat,
        built,
        dowels=dowels_by_member(built, dowels),
        scribed={highest: frame.leg_lines},
        more={highest: (*together_by, *frame.leg_facts)},
        facts=(frame.stands,),
        meetings=meetings,
    )
    yield from gusset_pieces(boat, built, gussets, dowels, meetings)


def _as_ring(boat: Boat, frame: _Frame, name: str) -> Piece:
    """All of it as one piece."""
    spec = frame.spec
    piece = (canted_piece if spec.cant else ring_piece)(
        boat,
        frame.ring,
        sense=frame.sense,
        name=name,
        member="frame",
        stock=stock_of(spec),
        facts=(sided_fact(spec), frame.stands, *frame.leg_facts),
    )
    moulded = replace(
        piece.faces[0],
        notes=(*piece.faces[0].notes, *(limber.note() for limber in frame.limbers)),
        scribed=(*piece.faces[0].scribed, *frame.leg_lines),
    )
    return replace(piece, faces=(moulded, piece.faces[1]), part_of=f"frame {spec.name}")


def _clear_of_transom(boat: Boat, sections: tuple[Section, Section]) -> None:
    """See that the frame stands clear of everything that belongs to a transom.

    Raises:
        PatternsError: it does not; the message says by how much.
    """
    ends = (
        (boat.design.after_end, boat.hull.transom, -1.0),
        (boat.design.fore_end, boat.hull.bow_transom, 1.0),
    )
    for end, face, inward in ends:
        if not isinstance(end, TransomEnd) or face is None:
            continue
        inner = face.moved(inward * (end.panel + (end.framing or 0.0)))
        over = [inner.height_over(section.plane.space(section.outline())) for section in sections]
        into = max(float((-inward * heights).max()) for heights in over)
        if into > 0.0:
            name, way = ("bow transom", "aft") if inward > 0.0 else ("transom", "forward")
            raise PatternsError(
                f"it runs {np.ceil(into):.0f} mm into the {name}; move it {way} by that or more"
            )


def _inner_line(spec: FrameSpec, plane: Plane) -> FloatArray | None:
    """The inner edge that the design gives by points, in the frame's plane, (n, 2); None where it gives none."""
    if not spec.inner_line:
        return None
    return np.array([[y, plane.up_at_height(z)] for y, z in spec.inner_line])


KIND = MemberKind(
    name="frame",
    order=20,
    pieces=pieces,
    stage=WorkStage.FRAMES,
    tables=(
        Table(name="frame", model=FrameSpec, sawn="sided", bounds=frame_bounds),
        Table(name="gusset", model=GussetSpec, named=False, sawn="thickness", bounds=gusset_bounds),
    ),
    rules=(
        frame_rules,
        gusset_rules,
    ),
    misses=frame_misses,
    starter=STARTER,
)
