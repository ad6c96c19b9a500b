"""Supports: straight pieces fore and aft between the real faces of two beams or frames."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import SupportSpec
from patterns.design.kind import Table
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.cut_ends import end_cuts, end_sources, stretches
from patterns.joinery.deck_timbers import beam_called, fore_and_aft_plane
from patterns.joinery.deck_work import above, below
from patterns.joinery.flat_pieces import xy
from patterns.joinery.wood import Wanted, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import deck_timber_bounds
from patterns.pattern import Pattern
from patterns.text.bevels import rounded_departure
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance
from patterns.wood.labels import Free, Label, Trim
from patterns.wood.meeting import Joinery, Meeting, OneOf
from patterns.wood.piece import Face, Hand, Papers, Piece, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Region, largest_of
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "support_piece"]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every support in the design."""
    for spec in boat.design.all(SupportSpec):
        yield f'support "{spec.name}"', partial(_support, boat, spec)


def _faces_of(boat: Boat, name: str) -> tuple[Plane, Plane]:
    """The forward and the after face of a beam, or of a frame called as ``frame 8``."""
    frame = next((frame for frame in boat.design.frames if f"frame {frame.name}" == name), None)
    if frame is None:
        beam = beam_called(boat, name)
        return beam.fore, beam.after
    moulded, other, sense = boat.frame_faces(frame)
    return (moulded, other) if sense > 0 else (other, moulded)


def _on(face: Plane, half_breadth: float, height: float) -> FloatArray:
    """The place on a plane athwartships at a half-breadth and a height, (3,)."""
    return face.space(np.array([half_breadth, face.up_at_height(height)]))


def _support(boat: Boat, spec: SupportSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, support_piece(boat, spec), WORDS),)


def support_piece(boat: Boat, spec: SupportSpec) -> Piece:
    """One support, drawn on its side.

    Raises:
        PatternsError: its two pieces do not stand one aft of the other.
    """
    ends = _faces_of(boat, spec.between[0])[1], _faces_of(boat, spec.between[1])[0]
    points = [_on(face, y, z) for face, y, z in zip(ends, spec.half_breadth, spec.heights, strict=True)]
    if points[1][0] <= points[0][0]:
        raise PatternsError(
            f"{spec.between[1]} does not lie aft of {spec.between[0]}; name its pieces from forward aft"
        )
    plane = fore_and_aft_plane(*points)
    planes = plane, plane.moved(-spec.sided)
    top = plane.flat(np.array(points))
    along = (top[1] - top[0]) / np.hypot(*(top[1] - top[0]))
    under = top + spec.moulded * np.array([along[1], -along[0]])
    edges = Region.of(below(top), Free()).both(Region.of(above(under), Free()))
    wood = [largest_of(edges.both(*stretch)) for stretch in stretches(planes, ends, on=spec.between)]
    faces = [Face(region=region, sources=_bevelled(region, ends, plane)) for region in wood]
    return Piece(
        name=spec.name,
        member="support",
        stock=stock_of(spec),
        hand=Hand.PAIR,
        view=View.FROM_INBOARD,
        placement=OnFace(plane, -1.0),
        faces=(faces[0], faces[1]),
        distances=(Distance(fact=Fact("top-end-to-end"), start=xy(top[0]), end=xy(top[1])),),
        facts=(
            sided_fact(spec),
            Fact("stands-between", {"fore": spec.between[0], "after": spec.between[1]}),
            end_cuts(plane, ends),
        ),
        grain=xy(along),
        by_ordinates=spec.print == "by ordinates",
        papers=Papers.ONE,
        meetings=tuple(_meetings(boat, spec)),
    )


def _meetings(boat: Boat, spec: SupportSpec) -> Iterator[Meeting]:
    """How its ends butt."""
    frames = {f"frame {frame.name}" for frame in boat.design.frames}
    for end, name in zip(("fore", "after"), spec.between, strict=True):
        yield Meeting(
            kind=Joinery.BUTT,
            lands=spec.name,
            on=OneOf(name) if name in frames else name,
            keys=(f'support "{spec.name}", key between',),
            edges=(Trim(end, name),),
        )


def _bevelled(wood: Region, ends: tuple[Plane, Plane], plane: Plane) -> dict[Label, Trace]:
    """The ends that are not square through the wood; those of a support parallel to the centreline are."""
    return {
        label: source
        for label, source in end_sources(wood, ends).items()
        if rounded_departure(float(source.bevel(-plane.normal)[0])) > 0.0
    }


WORDS: Mapping[str, Template] = {
    "stands-between": lambda v, _: f"Between {v['fore']} and {v['after']}, its edges square",
}


KIND = MemberKind(
    name="support",
    order=120,
    pieces=pieces,
    stage=WorkStage.DECK,
    tables=(Table(name="support", model=SupportSpec, group="deck", bounds=deck_timber_bounds),),
)
