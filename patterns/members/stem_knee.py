"""The stem knee: it ties the stem's after face to the keel's top."""

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
from patterns.joinery.keel_faces import keel_top
from patterns.joinery.keel_knees import KEEL_KNEE_WORDS, keel_knee
from patterns.joinery.knee_shapes import face_from, knee_shape, unit
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.members.stem import stem_of
from patterns.text.wood_facts import Template
from patterns.wood.ends import EndError, HullEnd
from patterns.wood.piece import Piece
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "stem_knee_piece"]

HAIR = 0.001  # mm


class StemKneeSpec(KneeKeys):
    """The knee that ties the stem's after face to the keel's top."""

    kind: Literal["stem knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="stem knee", description="Its name, if it is not simply its kind.")
    at: Literal["bow", "stern"] = Field(default="bow", description="Which end of the boat it is at.")
    along_keel: Length = Field(description="The length of the arm along the keel.")
    up_stem: Length = Field(description="The length of the arm up the stem's after face.")
    bolts_keel: Lengths = Field(
        default=(), description='Where bolts go through the arm on the keel, from the corner, as ["80 mm"].'
    )
    bolts_stem: Lengths = Field(default=(), description="The same for the arm up the stem.")


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The stem knees that the design asks for."""
    for spec in boat.design.all(StemKneeSpec):
        if spec.at == "bow":
            make = partial(_made, boat, spec)
            yield f'knee "{spec.name}"', PieceMaker(boat=boat, make=make, words=WORDS)


def _made(boat: Boat, spec: StemKneeSpec) -> tuple[Piece, ...]:
    return (stem_knee_piece(boat, spec),)


def stem_knee_piece(boat: Boat, spec: StemKneeSpec) -> Piece:
    """One knee.

    Raises:
        PatternsError: the stem does not stand on the keel, or an arm is longer than the member it lies on.
    """
    stem, top = stem_of(boat), keel_top(boat)
    after = stem.foot.after
    # A heel ends right on the keel's top: the least bit farther on the two cross for certain.
    after = np.vstack([after, after[-1] + HAIR * unit(after[-1] - after[-2])])
    places = meet(after, top, near=after[-1])
    if places is None:
        raise EndError(
            HullEnd.STEM,
            "the {end}'s {end.inside} ends before it meets the keel's top; a knee needs the {end} to stand on the "
            'keel: write joint = "heel on the keel" for the {end}, or set its foot farther {end.inward}',
        )
    shape = knee_shape(
        face_from(top, places[1]),
        face_from(after, places[0], backwards=True),
        arms=(spec.along_keel, spec.up_stem),
        on=("the keel", HullEnd.STEM),
        throat=spec.throat,
        toe=spec.toe,
    )
    return keel_knee(
        boat,
        spec,
        shape,
        end=HullEnd.STEM,
        arms=(spec.along_keel, spec.up_stem),
        bolts=(spec.bolts_keel, spec.bolts_stem),
    )


WORDS: Mapping[str, Template] = KEEL_KNEE_WORDS


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its throat lies within its arms, and it is asked for at an end of its kind."""
    others = {end.at for _, end in parts.all(TransomEnd)}
    for place, knee in parts.all(StemKneeSpec):
        yield from throat_problems(place, knee.throat, (knee.along_keel, knee.up_stem))
        yield from at_its_end(place, knee.at, others, knee="a stem knee", wants="stem", there="transom")


def _misses(design: Design) -> Iterator[Missing]:
    """One at each stem whose foot neither is scarfed to a keel nor runs on over its top."""
    knees = {knee.at for knee in design.all(StemKneeSpec)}
    for end in (design.fore_end, design.after_end):
        if design.keels and isinstance(end, StemEnd) and end.at not in knees and end.joint == "butt":
            yield Missing(
                stage=Stage.BACKBONE,
                name="stem knee" if end.at == "bow" else "stem knee at the stern",
                place=f'{DESIGN_FILE}, end "{end.at}"',
                what="no stem knee ties the stem to the keel, and its foot only butts on it",
            )


KIND = MemberKind(
    name="stem knee",
    order=60,
    pieces=pieces,
    stage=WorkStage.STEM_AND_KEEL,
    tables=(Table(name="knee", model=StemKneeSpec, kinds=("stem knee",), sawn="sided", bounds=knee_bounds),),
    rules=(_rules,),
    misses=_misses,
    at="stem",
)
