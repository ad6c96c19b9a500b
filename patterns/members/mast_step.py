"""Mast steps: a block on the keel with a mortise for the mast's heel, its underside fitted to the keel's top."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from pydantic import Field
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.bounds import Bound, Scale
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.quantities import At, Length, Wood, Words
from patterns.design.shared_keys import SidedKeys
from patterns.errors import PatternsError, Problem
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray, centre_plane
from patterns.joinery.keel_faces import keel_top, narrow_words
from patterns.joinery.wood import Piece, level_lines, wood_words
from patterns.member_kind import MemberKind
from patterns.pattern import Body, Kind, Line, Mark, Pattern, Span

__all__ = ["KIND", "MastStepSpec", "pieces"]

SPOKEN = 0.5  # mm; a hollow that is less needs no word
SQUARE = 0.05  # degrees; nearer than this a corner is square


class MastStepSpec(SidedKeys):
    """A mast step: a block on the keel, its fore and after faces square to base, its top level, its underside
    fitted to the keel's top; a mortise in the middle of its top takes the mast's heel."""

    name: Words = Field(default="mast step", description="Its name, if it is not simply mast step.")
    at: At = Field(
        description='Where its middle is, and its mortise\'s: a station, as "station 3", or a distance aft.'
    )
    length: Length = Field(description="Its length fore and aft, half of it on each side of its middle.")
    height: Wood = Field(description="Its least height, from the keel's top up to its own.")
    mortise_length: Length = Field(description="The mortise's length fore and aft.")
    mortise_breadth: Wood = Field(description="The mortise's breadth athwartships, centred.")
    mortise_depth: Wood | None = Field(
        default=None, description="The mortise's depth from the top; left out, it goes through to the keel."
    )


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every mast step in the design."""
    for spec in boat.design.all(MastStepSpec):
        yield f'mast_step "{spec.name}"', partial(_mast_step, boat, spec)


def _underside(boat: Boat, spec: MastStepSpec) -> FloatArray:
    """The keel's top under the step, (n, 2) of x and z, from forward aft.

    Raises:
        PatternsError: there is no keel, or it ends under the step.
    """
    top, middle = keel_top(boat), boat.distance(spec.at)
    fore, aft = middle - 0.5 * spec.length, middle + 0.5 * spec.length
    (keel,) = (run for run in boat.runs if run.kind == "keel")
    ends = float(keel.corners[:, 2, 0].min()), float(keel.corners[:, 2, 0].max())
    if fore < ends[0] or aft > ends[1]:
        raise PatternsError(
            f"it reaches past an end of the keel's top, which runs from {boat.length_words(ends[0])} to "
            f"{boat.length_words(ends[1])} aft; "
            "make it shorter or give another place"
        )
    between = top[(top[:, 0] > fore) & (top[:, 0] < aft)]
    first, last = ([x, float(np.interp(x, top[:, 0], top[:, 1]))] for x in (fore, aft))
    return np.vstack([first, between, last])


def _mast_step(boat: Boat, spec: MastStepSpec) -> tuple[Pattern, ...]:
    """One mast step, drawn on its side."""
    under = _underside(boat, spec)
    level = float(under[:, 1].max()) + spec.height
    corners = np.array([[under[-1, 0], level], [under[0, 0], level]])
    outline = np.vstack([under, corners])
    wood = area_of(outline)
    plane = centre_plane(-0.5 * spec.sided)
    middle = 0.5 * float(under[0, 0] + under[-1, 0])
    return (
        Pattern(
            name=spec.name,
            member="mast step",
            stock=spec.stock,
            thickness=spec.sided,
            laminations=spec.laminations,
            quantity="1",
            face="port side, seen from port",
            sides=("AFT", "FORWARD", "UP"),
            half=False,
            lines=(
                Line(kind=Kind.SAW, points=outline, closed=True),
                _mortise(spec, wood, middle, level),
                *level_lines(boat, wood, plane),
            ),
            marks=(
                Mark(name="lands on the keel", at=_under_middle(under, middle), towards=(0.0, -1.0)),
                Mark(name="mortise", at=(middle, level), towards=(0.0, 1.0)),
            ),
            spans=(
                Span(name="top, end to end", start=_xy(corners[1]), end=_xy(corners[0])),
                Span(name="fore face", start=_xy(corners[1]), end=_xy(under[0])),
            ),
            facts=(*wood_words(spec), *_facts(boat, spec, under)),
            plane=plane,
            siding=-1.0,
            body=Body(plane=plane, depth=-spec.sided, moulded=wood, other=wood),
            grain=(1.0, 0.0),
        ),
    )


def _mortise(spec: MastStepSpec, wood: Polygon, middle: float, level: float) -> Line:
    """The mortise as it lies hidden in the wood: its ends and bottom, or its ends down to the keel."""
    half = 0.5 * spec.mortise_length
    deep = spec.mortise_depth if spec.mortise_depth is not None else level - float(wood.bounds[1]) + 1.0
    box = Polygon(
        [
            (middle + way * half, v)
            for way, v in ((-1, level), (-1, level - deep), (1, level - deep), (1, level))
        ]
    )
    ring = np.asarray(box.intersection(wood).exterior.coords)[:-1]
    return Line(kind=Kind.REFERENCE, points=ring, closed=True, name="mortise")


def _under_middle(under: FloatArray, middle: float) -> tuple[float, float]:
    return middle, float(np.interp(middle, under[:, 0], under[:, 1]))


def _facts(boat: Boat, spec: MastStepSpec, under: FloatArray) -> Iterator[str]:
    """What the drawing does not show."""
    depth = f"{spec.mortise_depth:g} mm deep" if spec.mortise_depth is not None else "through to the keel"
    yield (
        f"Mortise {spec.mortise_length:g} mm fore and aft by {spec.mortise_breadth:g} mm athwartships, {depth}, "
        "in the middle of the top, its sides square to it"
    )
    yield f"Its middle is {boat.length_words(boat.distance(spec.at))} aft; edges square"
    yield "Fore and after faces square to base, top level"
    for face, ends in (("fore", under[:2]), ("after", under[:-3:-1])):
        run = ends[1] - ends[0]
        corner = 90.0 + float(np.degrees(np.arctan2(-run[1], abs(run[0]))))
        if abs(corner - 90.0) >= SQUARE:
            yield f"Corner of {face} face and underside {corner:.1f}°"
    chord = np.interp(under[:, 0], under[[0, -1], 0], under[[0, -1], 1])
    hollow = under[:, 1] - chord
    off = float(hollow[int(np.abs(hollow).argmax())])
    if abs(off) >= SPOKEN:
        yield f"Underside {'hollow' if off > 0.0 else 'round'} by {abs(off):.1f} mm between its ends"
    yield from narrow_words(boat, under, spec.sided)
    yield "The pattern gives its shape only: its size and fastenings are for the plans and a qualified designer"


def _xy(point: FloatArray) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its mortise leaves wood all round, and at its bottom where it has one."""
    for place, step in parts.all(MastStepSpec):
        for key, size, key_of_block, block in (
            ("mortise_length", step.mortise_length, "length", step.length),
            ("mortise_breadth", step.mortise_breadth, "sided", step.sided),
            ("mortise_depth", step.mortise_depth, "height", step.height),
        ):
            if size is not None and size >= block:
                yield Problem(
                    f"{place}, key {key}",
                    f"{size:g} mm leaves no wood of the step's {key_of_block} of {block:g} mm",
                    f"make it less than {block:g} mm" + ("; or remove it" if key == "mortise_depth" else ""),
                    code="too-great",
                )


def _bounds(step: MastStepSpec, scale: Scale) -> Iterator[Bound]:
    yield Bound("sided", step.sided, scale.thick, 0.5 * scale.breadth, "planking and breadth")
    yield Bound("height", step.height, 0.2 * step.sided, 4.0 * step.sided, "its siding")
    yield Bound("length", step.length, step.mortise_length, 0.25 * scale.length, "its mortise and the boat")


KIND = MemberKind(
    name="mast step",
    order=85,
    pieces=pieces,
    tables=(Table(name="mast_step", model=MastStepSpec, bounds=_bounds),),
    rules=(_rules,),
)
