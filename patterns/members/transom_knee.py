"""The transom knee: it ties the keel's top to the transom's inner face."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.file import KneeSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import meet
from patterns.hull.curved import Curved, hollow
from patterns.hull.planes import FloatArray
from patterns.joinery.keel_faces import keel_top
from patterns.joinery.keel_knees import keel_knee_pattern
from patterns.joinery.knee_shapes import face_from, knee_shape
from patterns.joinery.wood import Piece
from patterns.pattern import Pattern

REACH = 20_000.0  # mm up and down the transom from height 0, wherever the table counts its heights from

__all__ = ["pieces", "transom_face"]


def transom_face(boat: Boat) -> tuple[FloatArray, FloatArray]:
    """The forward face that the knee lands on: a point (x, z) and the unit direction up it.

    The centre post's face where the framing has one, else the panel's.
    """
    spec = boat.design.stern
    depth = spec.panel + (spec.framing if spec.framing is not None and spec.centre_post is not None else 0.0)
    plane = boat.hull.transom.moved(-depth)
    return plane.origin[[0, 2]], plane.v[[0, 2]]


def pieces(boat: Boat) -> Iterator[Piece]:
    """The knees that the design asks for."""
    for spec in boat.design.knees:
        if spec.at == "stern":
            yield f'knee "{spec.name}"', partial(_knee, boat, spec)


def _knee(boat: Boat, spec: KneeSpec) -> tuple[Pattern, ...]:
    """One knee.

    Raises:
        PatternsError: the keel is missing, or an arm is longer than the member it lies on.
    """
    top = keel_top(boat)
    point, up = transom_face(boat)
    place = meet(top, np.array([point - REACH * up, point + REACH * up]), near=top[-1])
    if place is None:
        raise PatternsError("the keel does not reach the transom's face")
    on_keel = face_from(top, place[0], backwards=True)
    shape = knee_shape(
        on_keel,
        np.array([on_keel[0], on_keel[0] + REACH * up]),
        arms=(spec.along_keel, spec.up_transom),
        on=("the keel", "the transom"),
        throat=spec.throat,
        toe=spec.toe,
    )
    return (
        keel_knee_pattern(
            boat,
            spec,
            shape,
            end="transom",
            face="transom face",
            arms=(spec.along_keel, spec.up_transom),
            bolts=(spec.bolts_keel, spec.bolts_transom),
            facts=_rounded(boat, spec),
        ),
    )


def _rounded(boat: Boat, spec: KneeSpec) -> tuple[str, ...]:
    """What its end needs on a curved transom: this outline is that on the centreline."""
    face = boat.hull.transom
    if not isinstance(face, Curved):
        return ()
    off = float(hollow(np.array([0.5 * spec.sided]), face.radius)[0])
    return (f"Round its end to the transom's curve: {off:.1f} mm less at both sides than in the middle",)
