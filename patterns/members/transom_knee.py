"""The transom knee: it ties the keel's top to the transom's inner face."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Literal

import numpy as np
from pydantic import Field

from patterns.boat import Boat
from patterns.design.agreement import at_its_end, throat_problems
from patterns.design.bounds import knee_bounds
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, StemEnd, TransomEnd
from patterns.design.quantities import Length, Lengths, Words
from patterns.design.shared_keys import KneeKeys
from patterns.design.toml_file import DESIGN_FILE
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import Problem
from patterns.flat.polylines import meet
from patterns.hull.curved import Curved, hollow
from patterns.hull.planes import FloatArray
from patterns.joinery.keel_faces import keel_top
from patterns.joinery.keel_knees import KEEL_KNEE_WORDS, keel_knee
from patterns.joinery.knee_shapes import face_from, knee_shape
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.text.wood_facts import Template
from patterns.wood.ends import EndError, HullEnd
from patterns.wood.facts import Fact
from patterns.wood.piece import Piece
from patterns.wood.work_stage import WorkStage

REACH = 20_000.0  # mm up and down the transom from height 0, wherever the table counts its heights from

__all__ = ["KIND", "WORDS", "pieces", "transom_face", "transom_knee_piece"]


def transom_face(boat: Boat) -> tuple[FloatArray, FloatArray]:
    """The forward face that the knee lands on: a point (x, z) and the unit direction up it.

    The centre post's face where the framing has one, else the panel's.
    """
    spec = boat.design.stern
    depth = spec.panel + (spec.framing if spec.framing is not None and spec.centre_post is not None else 0.0)
    plane = boat.hull.transom.moved(-depth)
    return plane.origin[[0, 2]], plane.v[[0, 2]]


class TransomKneeSpec(KneeKeys):
    """The knee that ties the transom's inner face to the keel's top."""

    kind: Literal["transom knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="transom knee", description="Its name, if it is not simply its kind.")
    at: Literal["bow", "stern"] = Field(default="stern", description="Which end of the boat it is at.")
    along_keel: Length = Field(description="The length of the arm along the keel.")
    up_transom: Length = Field(description="The length of the arm up the transom.")
    bolts_keel: Lengths = Field(
        default=(), description='Where bolts go through the arm on the keel, from the corner, as ["80 mm"].'
    )
    bolts_transom: Lengths = Field(default=(), description="The same for the arm up the transom.")


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The knees that the design asks for."""
    for spec in boat.design.all(TransomKneeSpec):
        if spec.at == "stern":
            make = partial(_made, boat, spec)
            yield f'knee "{spec.name}"', PieceMaker(boat=boat, make=make, words=WORDS)


def _made(boat: Boat, spec: TransomKneeSpec) -> tuple[Piece, ...]:
    return (transom_knee_piece(boat, spec),)


def transom_knee_piece(boat: Boat, spec: TransomKneeSpec) -> Piece:
    """One knee.

    Raises:
        PatternsError: the keel is missing, or an arm is longer than the member it lies on.
    """
    top = keel_top(boat)
    point, up = transom_face(boat)
    place = meet(top, np.array([point - REACH * up, point + REACH * up]), near=top[-1])
    if place is None:
        raise EndError(HullEnd.TRANSOM, "the keel does not reach the {end}'s {end.inside}")
    on_keel = face_from(top, place[0], backwards=True)
    shape = knee_shape(
        on_keel,
        np.array([on_keel[0], on_keel[0] + REACH * up]),
        arms=(spec.along_keel, spec.up_transom),
        on=("the keel", HullEnd.TRANSOM),
        throat=spec.throat,
        toe=spec.toe,
    )
    return keel_knee(
        boat,
        spec,
        shape,
        end=HullEnd.TRANSOM,
        arms=(spec.along_keel, spec.up_transom),
        bolts=(spec.bolts_keel, spec.bolts_transom),
        facts=_rounded(boat, spec),
    )


def _rounded(boat: Boat, spec: TransomKneeSpec) -> tuple[Fact, ...]:
    """What its end needs on a curved transom: this outline is that on the centreline."""
    face = boat.hull.transom
    if not isinstance(face, Curved):
        return ()
    off = float(hollow(np.array([0.5 * spec.sided]), face.radius)[0])
    return (Fact("end-rounded", {"on": HullEnd.TRANSOM, "off": off}),)


WORDS: Mapping[str, Template] = {
    **KEEL_KNEE_WORDS,
    "end-rounded": lambda v, _: (
        f"Round its end to the {v['on']}'s curve: {v['off']:.1f} mm less at both sides than in the middle"
    ),
}


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its throat lies within its arms, and it is asked for at an end of its kind."""
    others = {end.at for _, end in parts.all(StemEnd)}
    for place, knee in parts.all(TransomKneeSpec):
        yield from throat_problems(place, knee.throat, (knee.along_keel, knee.up_transom))
        yield from at_its_end(place, knee.at, others, knee="a transom knee", wants="transom", there="stem")


def _misses(design: Design) -> Iterator[Missing]:
    """One at each transom, where there is a keel."""
    knees = {knee.at for knee in design.all(TransomKneeSpec)}
    for end in (design.fore_end, design.after_end):
        if design.keels and isinstance(end, TransomEnd) and end.at not in knees:
            yield Missing(
                stage=Stage.TRANSOM,
                name=f"transom knee{'' if end.at == 'stern' else ' at the bow'}",
                place=f'{DESIGN_FILE}, end "{end.at}"',
                what="no transom knee ties the transom to the keel",
            )


_STARTER: Mapping[str, str] = {
    "": """\
[[knee]]
kind = "transom knee"
along_keel = "300 mm"
up_transom = "300 mm"
throat = "120 mm"
toe = "35 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2""",
    "round bilge": """\
[[knee]]
kind = "transom knee"
along_keel = "220 mm"
up_transom = "200 mm"
throat = "85 mm"
toe = "35 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2""",
}


KIND = MemberKind(
    name="transom knee",
    order=70,
    pieces=pieces,
    stage=WorkStage.TRANSOM,
    tables=(
        Table(name="knee", model=TransomKneeSpec, kinds=("transom knee",), sawn="sided", bounds=knee_bounds),
    ),
    rules=(_rules,),
    misses=_misses,
    at="transom",
    starter=_STARTER,
)
