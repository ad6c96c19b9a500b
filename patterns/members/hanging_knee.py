"""Hanging knees: upright under a beam, between its underside and the inside of the side's planking."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from patterns.boat import Boat
from patterns.design.agreement import throat_problems
from patterns.design.bounds import knee_bounds
from patterns.design.deck_models import beside_frame
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.quantities import Length, Lengths, Words
from patterns.design.refs import Ref
from patterns.design.shared_keys import KneeKeys
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError, Problem
from patterns.flat.polylines import normals_left
from patterns.hull.cuts import Trace
from patterns.hull.planes import Plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.deck_timbers import Beam, beam_called
from patterns.joinery.passages import passages
from patterns.joinery.two_faced_knees import (
    TWO_FACED_WORDS,
    TwoFaced,
    knee_planes,
    two_faced_knee,
    two_faced_piece,
)
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.members.beam import underside_on
from patterns.text.angles import angle_words
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.labels import Landing, Planking
from patterns.wood.meeting import Joinery, Mate, Meeting, OneOf
from patterns.wood.piece import Piece, View
from patterns.wood.placement import OnFace
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "hanging_knee_piece", "pieces"]


class HangingKneeSpec(KneeKeys):
    """The upright knee under a beam, between its underside and the inside of the side's planking."""

    kind: Literal["hanging knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="hanging knee", description="Its name, if it is not simply its kind.")
    under: Annotated[Words, Ref("beam")] = Field(
        description="The beam that it is under, in the middle of its siding."
    )
    along_beam: Length = Field(description="The length of the arm under the beam.")
    down_side: Length = Field(description="The length of the arm down the side.")
    bolts_beam: Lengths = Field(
        default=(),
        description='Where bolts go through the arm under the beam, from the corner, as ["90 mm"].',
    )
    bolts_side: Lengths = Field(default=(), description="The same for the arm down the side.")


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The hanging knees that the design asks for."""
    for spec in boat.design.all(HangingKneeSpec):
        make = partial(_knee, boat, spec)
        yield f'knee "{spec.name}"', PieceMaker(boat=boat, make=make, words=WORDS)


def _moulded(beam: Beam, spec: HangingKneeSpec) -> Plane:
    """The face of the knee on the side of the beam's moulded face, in the middle of its siding."""
    if spec.sided > beam.spec.sided:
        raise PatternsError(
            f"it is sided {spec.sided:g} mm under a beam of {beam.spec.sided:g} mm; make it no thicker than that"
        )
    return beam.faces[0].moved(beam.sense * 0.5 * (beam.spec.sided - spec.sided))


def _under_beam(boat: Boat, beam: Beam, plane: Plane) -> Trace:
    """The beam's underside, from outboard inward; its normals point into the beam."""
    line = underside_on(boat, beam, plane)
    out = line[-1] - line[-2]
    line = np.vstack([line, line[-1] + 300.0 * out / np.hypot(*out)])[::-1]
    if beam.spec.bottom is not None:
        normal = np.broadcast_to(np.array([0.0, 0.0, 1.0]), (len(line), 3))
    else:  # square to the beam's faces; the line runs inboard, so up is to its right
        right = -normals_left(line)
        normal = right[:, :1] * plane.u + right[:, 1:] * plane.v
    return Trace(uv=line, normal=np.asarray(normal), r=np.linspace(0.0, 1.0, len(line)))


def _down_side(section: Section) -> Trace:
    """The inside of the uppermost strake, from the deck down."""
    trace = list(section.long_traces.values())[-1]
    low = list(section.traces.values())[-1].uv[0]
    start = int(np.abs(np.hypot(*(trace.uv - low).T)).argmin())
    return Trace(uv=trace.uv[start:][::-1], normal=trace.normal[start:][::-1], r=trace.r[start:][::-1])


def _knee(boat: Boat, spec: HangingKneeSpec) -> tuple[Piece, ...]:
    return (hanging_knee_piece(boat, spec),)


def hanging_knee_piece(boat: Boat, spec: HangingKneeSpec) -> Piece:
    """One hanging knee.

    Raises:
        PatternsError: the beam cannot be placed or is thinner than the knee, or no such knee is to be had.
    """
    beam = beam_called(boat, spec.under)
    top = _moulded(beam, spec)
    planes = knee_planes(top, beam.sense * spec.sided, spec.laminations)
    sections = [cut_hull(boat.hull, plane) for plane in planes]
    passing, strake = passages(boat, spec.name, sections), list(sections[0].traces)[-1]
    knee = two_faced_knee(
        [
            (_under_beam(boat, beam, plane), _down_side(section))
            for plane, section in zip(planes, sections, strict=True)
        ],
        arms=(spec.along_beam, spec.down_side),
        on=("the beam's underside", "the planking"),
        labels=(Landing(spec.under), Landing(strake)),
        throat=spec.throat,
        toe=spec.toe,
        # The timbers that it must clear, the clamp's first of all.
        passing=passing,
    )
    arms = {"beam": spec.along_beam, "side": spec.down_side, "angle": knee.shape.angle}
    return two_faced_piece(
        knee,
        spec,
        view=View.ATHWARTSHIPS,
        on=OnFace(top, beam.sense),
        lands=("beam's underside", "planking"),
        bolts=(spec.bolts_beam, spec.bolts_side),
        facts=(Fact("under-beam", {"beam": spec.under}), Fact("hanging-knee-arms", arms)),
        meetings=(*_meetings(boat, spec, knee, strake), *passing.of_piece(spec.name)),
    )


def _meetings(boat: Boat, spec: HangingKneeSpec, knee: TwoFaced, strake: str) -> Iterator[Meeting]:
    """How its arms land on beam and planking."""
    others: tuple[Mate, ...] = (spec.under, Planking(strake))
    for label, on, key in zip(knee.on, others, ("under", "down_side"), strict=True):
        keys = (f'knee "{spec.name}", key {key}',)
        yield Meeting(kind=Joinery.EDGE, lands=spec.name, on=on, keys=keys, edges=(label,))
    beam = beam_called(boat, spec.under)
    beside = beside_frame(beam.spec.at)
    if (
        beside is not None and beam.spec.sided == spec.sided
    ):  # as thick as the beam: its face is the frame's too
        on_frame, keys = OneOf(f"frame {beside[1]}"), (f'knee "{spec.name}", key sided',)
        yield Meeting(kind=Joinery.FACE, lands=spec.name, on=on_frame, keys=keys, faces=(0,))


WORDS: Mapping[str, Template] = {
    **TWO_FACED_WORDS,
    "under-beam": lambda v, _: f"Under {v['beam']}, in the middle of its siding",
    "hanging-knee-arms": lambda v, _: (
        f"Arms {v['beam']:g} mm under the beam, {v['side']:g} mm down the side; angle between them "
        f"{angle_words(v['angle'])}"
    ),
}


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its throat lies within its arms."""
    for place, knee in parts.all(HangingKneeSpec):
        yield from throat_problems(place, knee.throat, (knee.along_beam, knee.down_side))


KIND = MemberKind(
    name="hanging knee",
    order=140,
    pieces=pieces,
    stage=WorkStage.DECK,
    tables=(
        Table(name="knee", model=HangingKneeSpec, kinds=("hanging knee",), sawn="sided", bounds=knee_bounds),
    ),
    rules=(_rules,),
)
