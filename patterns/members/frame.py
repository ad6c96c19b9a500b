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
from patterns.hull.sections import Section
from patterns.joinery.built import Built
from patterns.joinery.canted import WORDS as CANTED_WORDS
from patterns.joinery.canted import canted_piece
from patterns.joinery.dowels import dowels_by_member, dowels_of
from patterns.joinery.frame_assembly import assembly_of
from patterns.joinery.framed import Framed, frame_sections, framed
from patterns.joinery.futtocks import futtock_pieces
from patterns.joinery.gusset_patterns import gusset_meetings, gusset_pieces
from patterns.joinery.legs import Legs, legs_of
from patterns.joinery.put_together import put_together_facts
from patterns.joinery.ringed import breadth_facts, ring_piece
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
    """A frame put together, and what is known of all of its pieces.

    Attributes:
        wood: its ring, its parts and its gussets.
        stands: where its moulded face is.
        legs: the legs on which it stands on the building base; None where it has none.
    """

    spec: FrameSpec
    wood: Framed
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
    _clear_of_transom(boat, frame_sections(boat, spec))
    frame = _frame_of(boat, spec)
    built = frame.wood.built
    if built is None:
        return (_as_ring(boat, frame, f"frame {spec.name}"),)
    made = tuple(_built_pieces(boat, frame, built))
    if not spec.assembly:
        return made
    return *made, assembly_of(_as_ring(boat, frame, f"frame {spec.name} assembly"), built)


def _frame_of(boat: Boat, spec: FrameSpec) -> _Frame:
    """The frame put together."""
    wood = framed(boat, spec)
    face, _, _ = looking(wood.sense)
    aft = float(wood.ring.sections[0].plane.origin[0])
    at = {"face": face, "aft": aft, "rake": spec.rake or None, "cant": spec.cant}
    return _Frame(
        spec=spec,
        wood=wood,
        stands=Fact("moulded-face", at),
        legs=None if spec.cant else legs_of(boat, wood.ring, sense=wood.sense),
    )


def _built_pieces(boat: Boat, frame: _Frame, built: Built) -> Iterator[Piece]:
    """Its futtocks and gussets."""
    section, gussets = frame.wood.ring.sections[0], frame.wood.gussets
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
        frame.wood.ring,
        sense=frame.wood.sense,
        name=name,
        member="frame",
        stock=stock_of(spec),
        facts=(sided_fact(spec), frame.stands, *frame.leg_facts),
    )
    moulded = replace(
        piece.faces[0],
        notes=(*piece.faces[0].notes, *(limber.note() for limber in frame.wood.limbers)),
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
