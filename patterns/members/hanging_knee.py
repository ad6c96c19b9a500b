"""Hanging knees: upright under a beam, between its underside and the inside of the side's planking."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Annotated, Any, Literal

import numpy as np
import shapely
from pydantic import Field

from patterns.boat import Boat
from patterns.design.agreement import throat_problems
from patterns.design.bounds import knee_bounds
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.quantities import Length, Lengths, Words
from patterns.design.refs import Ref
from patterns.design.shared_keys import KneeKeys
from patterns.drawing.marks import line_of
from patterns.errors import PatternsError, Problem
from patterns.flat.polylines import normals_left
from patterns.flat.shapes import area_of
from patterns.hull.cuts import Trace
from patterns.hull.planes import Plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.deck_timbers import Beam, beam_called
from patterns.joinery.knee_shapes import bolts_scribed, xy
from patterns.joinery.ringed import notches_in
from patterns.joinery.two_faced_knees import (
    knee_holes,
    knee_lines,
    knee_marks,
    knee_planes,
    knee_spans,
    two_faced_knee,
)
from patterns.joinery.wood import Piece, hole_facts, looking, wood_words
from patterns.member_kind import MemberKind
from patterns.members.beam import underside_on
from patterns.pattern import Body, Pattern

__all__ = ["KIND", "pieces"]

ON = ("the beam's underside", "the planking")


class HangingKneeSpec(KneeKeys):
    """The upright knee under a beam, between its underside and the inside of the side's planking."""

    kind: Literal["hanging knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="hanging knee", description="Its name, if it is not simply its kind.")
    under: Annotated[Words, Ref("beam")] = Field(
        description="The beam that it stands under; it stands in the middle of its siding."
    )
    along_beam: Length = Field(description="The length of the arm under the beam.")
    down_side: Length = Field(description="The length of the arm down the side.")
    bolts_beam: Lengths = Field(
        default=(),
        description='Where bolts go through the arm under the beam, from the corner, as ["90 mm"].',
    )
    bolts_side: Lengths = Field(default=(), description="The same for the arm down the side.")


def pieces(boat: Boat) -> Iterator[Piece]:
    """The hanging knees that the design asks for."""
    for spec in boat.design.all(HangingKneeSpec):
        yield f'knee "{spec.name}"', partial(_knee, boat, spec)


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


def _timbers(boat: Boat, section: Section) -> Any:
    """The spaces of the timbers that it must clear, the clamp's first of all."""
    return shapely.union_all([area_of(notch.corners) for notch in notches_in(boat, section)])


def _knee(boat: Boat, spec: HangingKneeSpec) -> tuple[Pattern, ...]:
    """One hanging knee.

    Raises:
        PatternsError: the beam cannot be placed or is thinner than the knee, or no such knee is to be had.
    """
    beam = beam_called(boat, spec.under)
    top = _moulded(beam, spec)
    depth = beam.sense * spec.sided
    planes = knee_planes(top, depth, spec.laminations)
    sections = [cut_hull(boat.hull, plane) for plane in planes]
    knee = two_faced_knee(
        [
            (_under_beam(boat, beam, plane), _down_side(section))
            for plane, section in zip(planes, sections, strict=True)
        ],
        arms=(spec.along_beam, spec.down_side),
        on=ON,
        throat=spec.throat,
        toe=spec.toe,
        spaces=[_timbers(boat, section) for section in sections],
    )
    siding = beam.sense * top.normal
    face, look, sides = looking(beam.sense)
    behind, look_back, _ = looking(-beam.sense)
    one = sides[0].lower()
    names = (spec.under, list(sections[0].traces)[-1])
    holes = knee_holes(knee, boat.design.register)
    return (
        Pattern(
            name=spec.name,
            member="hanging knee",
            stock=spec.stock,
            thickness=spec.sided,
            laminations=spec.laminations,
            quantity="1 port + 1 starboard",
            face=f"{face} face (moulded) of the {one} one, seen looking {look}",
            behind=f"{behind} face of the {one} one, seen looking {look_back}",
            behind_readings=tuple(knee.readings(-1, -siding, names)),
            behind_marks=knee_marks(knee, ON, spec.throat, -1),
            sides=sides,
            half=False,
            lines=(
                *knee_lines(knee),
                *(
                    line_of(b, boat.length_words)
                    for b in bolts_scribed(knee.shape, (spec.bolts_beam, spec.bolts_side))
                ),
            ),
            readings=tuple(knee.readings(0, siding, names)),
            holes=holes,
            marks=knee_marks(knee, ON, spec.throat, 0),
            spans=knee_spans(knee),
            facts=(
                *wood_words(spec),
                f"Stands under {spec.under}, in the middle of its siding",
                f"Arms {spec.along_beam:g} mm under the beam, "
                f"{spec.down_side:g} mm down the side; angle between them {np.degrees(knee.shape.angle):.1f}°",
                "Its inner edge and toes are square; throat and toes are the least of all its faces",
                *hole_facts(holes),
            ),
            plane=top,
            siding=beam.sense,
            body=Body(plane=top, depth=depth, moulded=knee.faces[0], other=knee.faces[-1], mirrored=True),
            grain=xy(knee.shape.grain),
        ),
    )


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its throat lies within its arms."""
    for place, knee in parts.all(HangingKneeSpec):
        yield from throat_problems(place, knee.throat, (knee.along_beam, knee.down_side))


KIND = MemberKind(
    name="hanging knee",
    order=140,
    pieces=pieces,
    tables=(
        Table(name="knee", model=HangingKneeSpec, kinds=("hanging knee",), sawn="sided", bounds=knee_bounds),
    ),
    rules=(_rules,),
)
