"""The stem knee: it ties the stem's after face to the keel's top."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.stem_models import StemKneeSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import meet
from patterns.joinery.keel_faces import keel_top
from patterns.joinery.keel_knees import keel_knee_pattern
from patterns.joinery.knee_shapes import face_from, knee_shape, unit
from patterns.joinery.wood import Piece
from patterns.members.stem import stem_of
from patterns.pattern import Pattern

__all__ = ["pieces"]

HAIR = 0.001  # mm


def pieces(boat: Boat) -> Iterator[Piece]:
    """The stem knees that the design asks for."""
    for spec in boat.design.all(StemKneeSpec):
        if spec.at == "bow":
            yield f'knee "{spec.name}"', partial(_knee, boat, spec)


def _knee(boat: Boat, spec: StemKneeSpec) -> tuple[Pattern, ...]:
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
        raise PatternsError(
            "the stem's after face ends before it meets the keel's top; a knee needs the stem to stand on the "
            'keel: write joint = "heel on the keel" for the stem, or set its foot farther aft'
        )
    shape = knee_shape(
        face_from(top, places[1]),
        face_from(after, places[0], backwards=True),
        arms=(spec.along_keel, spec.up_stem),
        on=("the keel", "the stem"),
        throat=spec.throat,
        toe=spec.toe,
    )
    return (
        keel_knee_pattern(
            boat,
            spec,
            shape,
            end="stem",
            face="stem's after face",
            arms=(spec.along_keel, spec.up_stem),
            bolts=(spec.bolts_keel, spec.bolts_stem),
        ),
    )
