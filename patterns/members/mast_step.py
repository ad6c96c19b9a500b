"""Mast steps: a block on the keel with a mortise for the mast's heel, its underside fitted to the keel's top."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from math import radians
from typing import Any

import numpy as np
import shapely
from pydantic import Field

from patterns.boat import Boat
from patterns.design.bounds import BoatSize, Bound
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.quantities import At, Length, Wood, Words
from patterns.design.shared_keys import SidedKeys
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError, Problem
from patterns.flat import overlays
from patterns.hull.planes import FloatArray, centre_plane
from patterns.joinery.flat_pieces import xy
from patterns.joinery.keel_faces import keel_top, narrow_fact
from patterns.joinery.named_pieces import keel_name
from patterns.joinery.profile_pieces import PROFILE_WORDS, profile_piece
from patterns.joinery.wood import Wanted, levels_scribed, sided_fact
from patterns.member_kind import MemberKind
from patterns.text.angles import angle_words
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.ends import Aft
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note, Scribed
from patterns.wood.labels import Label, Landing, Level, Trim
from patterns.wood.meeting import Joinery, Meeting, NotMade
from patterns.wood.piece import Face, Piece
from patterns.wood.region import Area, Region
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "MastStepSpec", "mast_step_piece", "pieces"]

MAST = NotMade("mast")

SPOKEN = 0.5  # mm; a hollow that is less needs no word
SQUARE = radians(0.05)  # nearer than this a corner is square


class MastStepSpec(SidedKeys):
    """A mast step: a block on the keel, its fore and after faces square to base, its top level, its underside
    fitted to the keel's top; a mortise in the middle of its top takes the mast's heel."""

    name: Words = Field(default="mast step", description="Its name, if it is not simply mast step.")
    at: At = Field(
        description='Where its middle is, and its mortise\'s: a station, e.g. "station 3", or a distance aft.'
    )
    length: Length = Field(description="Its length fore and aft, half of it on each side of its middle.")
    height: Wood = Field(description="Its least height, from the keel's top up to its own.")
    mortise_length: Length = Field(description="The mortise's length fore and aft.")
    mortise_breadth: Wood = Field(description="The mortise's breadth athwartships, centred.")
    mortise_depth: Wood | None = Field(
        default=None, description="The mortise's depth from the top; left out, it goes through to the keel."
    )


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every mast step in the design."""
    for spec in boat.design.all(MastStepSpec):
        make = partial(_made, boat, spec)
        yield f'mast_step "{spec.name}"', PieceMaker(boat=boat, make=make, words=WORDS)


def _made(boat: Boat, spec: MastStepSpec) -> tuple[Piece, ...]:
    return (mast_step_piece(boat, spec),)


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


def mast_step_piece(boat: Boat, spec: MastStepSpec) -> Piece:
    """One mast step, drawn on its side.

    Raises:
        PatternsError: there is no keel, or it ends under the step.
    """
    under = _underside(boat, spec)
    level = float(under[:, 1].max()) + spec.height
    after, fore = np.array([under[-1, 0], level]), np.array([under[0, 0], level])
    # Along the keel's top going aft, up its after face, forward along its top, down its fore face.
    labels: list[Label] = [*[Landing("keel")] * (len(under) - 1), Trim("after"), Level(), Trim("fore")]
    wood = Region.within(np.vstack([under, after, fore]), labels)
    middle = 0.5 * float(under[0, 0] + under[-1, 0])
    on_keel = middle, float(np.interp(middle, under[:, 0], under[:, 1]))
    mortise = Fact("mortise", {"other": MAST.what})
    return profile_piece(
        spec,
        Face(
            region=wood,
            sources={},
            notes=(
                Note(fact=Fact("lands-on", {"on": "keel"}), at=on_keel, towards=(0.0, -1.0)),
                Note(fact=mortise, at=(middle, level), towards=(0.0, 1.0)),
            ),
            scribed=(
                Scribed(fact=mortise, points=_mortise(spec, wood.area, middle, level), closed=True),
                *levels_scribed(boat, wood.area, centre_plane()),
            ),
        ),
        name=spec.name,
        member="mast step",
        distances=(
            Distance(fact=Fact("top-end-to-end"), start=xy(fore), end=xy(after)),
            Distance(fact=Fact("fore-face"), start=xy(fore), end=xy(under[0])),
        ),
        facts=(sided_fact(spec), *_facts(boat, spec, under)),
        meetings=tuple(_meetings(boat, spec)),
    )


def _meetings(boat: Boat, spec: MastStepSpec) -> Iterator[Meeting]:
    """How it lies on the keel, and the mast in it."""
    asked = f'mast_step "{spec.name}"'
    on_keel = (Landing("keel"),)
    yield Meeting(kind=Joinery.EDGE, lands=spec.name, on=keel_name(boat), keys=(asked,), edges=on_keel)
    keys = (f"{asked}, key mortise_length",)
    yield Meeting(kind=Joinery.MORTISE, lands=MAST, on=spec.name, keys=keys)


def _mortise(spec: MastStepSpec, wood: Area, middle: float, level: float) -> FloatArray:
    """The mortise as it lies hidden in the wood: its ends and bottom, or its ends down to the keel; (n, 2)."""
    half = 0.5 * spec.mortise_length
    deep = spec.mortise_depth if spec.mortise_depth is not None else level - float(wood.bounds[1]) + 1.0
    box = shapely.box(middle - half, level - deep, middle + half, level)
    return np.asarray(overlays.intersection(box, wood).exterior.coords)[:-1]


def _facts(boat: Boat, spec: MastStepSpec, under: FloatArray) -> Iterator[Fact]:
    """What the drawing does not show."""
    sizes = {"length": spec.mortise_length, "breadth": spec.mortise_breadth, "depth": spec.mortise_depth}
    yield Fact("mortise-size", sizes)
    yield Fact("its-middle", {"aft": Aft(boat.distance(spec.at))})
    yield Fact("faces-square-to-base")
    for face, ends in (("fore", under[:2]), ("after", under[:-3:-1])):
        run = ends[1] - ends[0]
        off = float(np.arctan2(-run[1], abs(run[0])))
        if abs(off) >= SQUARE:
            yield Fact("end-corner", {"face": face, "angle": 0.5 * np.pi + off})
    chord = np.interp(under[:, 0], under[[0, -1], 0], under[[0, -1], 1])
    hollow = under[:, 1] - chord
    off = float(hollow[int(np.abs(hollow).argmax())])
    if abs(off) >= SPOKEN:
        yield Fact("underside-hollow", {"hollow": off})
    yield from narrow_fact(boat, under, spec.sided)
    yield Fact("shape-only")


def _mortise_words(v: Mapping[str, Any], _: Lengths) -> str:
    depth = f"{v['depth']:g} mm deep" if v["depth"] is not None else "through to the keel"
    return (
        f"Mortise {v['length']:g} mm fore and aft by {v['breadth']:g} mm athwartships, {depth}, in the middle of "
        "the top, its sides square to it"
    )


WORDS: Mapping[str, Template] = {
    **PROFILE_WORDS,
    "mortise": lambda v, _: f"mortise for the {v['other']}",
    "top-end-to-end": lambda _, __: "top, end to end",
    "fore-face": lambda _, __: "fore face",
    "mortise-size": _mortise_words,
    "its-middle": lambda v, lengths: f"Its middle is {lengths(v['aft'].mm)} aft; edges square",
    "faces-square-to-base": lambda _, __: "Fore and after faces square to base, top level",
    "end-corner": lambda v, _: f"Corner of {v['face']} face and underside {angle_words(v['angle'])}",
    "underside-hollow": lambda v, _: (
        f"Underside {'hollow' if v['hollow'] > 0.0 else 'round'} by {abs(v['hollow']):.1f} mm between its ends"
    ),
    "shape-only": lambda _, __: (
        "The pattern gives its shape only: its size and fastenings are for the plans and a qualified designer"
    ),
}


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


def _bounds(step: MastStepSpec, scale: BoatSize) -> Iterator[Bound]:
    yield Bound("sided", step.sided, scale.thick, 0.5 * scale.breadth, "planking and breadth")
    yield Bound("height", step.height, 0.2 * step.sided, 4.0 * step.sided, "its siding")
    yield Bound("length", step.length, step.mortise_length, 0.25 * scale.length, "its mortise and the boat")


KIND = MemberKind(
    name="mast step",
    order=85,
    pieces=pieces,
    stage=WorkStage.FLOORS,
    tables=(Table(name="mast_step", model=MastStepSpec, bounds=_bounds),),
    rules=(_rules,),
)
