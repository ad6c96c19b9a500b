"""The transom knee: it ties the keel's top to the transom's inner face."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.file import KneeSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import meet
from patterns.flat.shapes import area_of
from patterns.hull.curved import Curved, hollow
from patterns.hull.planes import FloatArray, centre_plane
from patterns.joinery.keel_faces import keel_top, narrow_words
from patterns.joinery.knee_shapes import bolt_lines, face_from, knee_shape, xy
from patterns.joinery.wood import Piece, wood_words
from patterns.pattern import Body, Kind, Line, Mark, Pattern, Span

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
    on_keel_arm, up_arm = shape.arms
    wood = area_of(shape.outline)
    pattern = Pattern(
        name=spec.name,
        member="transom knee",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face="port side, seen from port",
        sides=("AFT", "FORWARD", "UP"),
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=shape.outline, closed=True),
            *bolt_lines(shape, (spec.bolts_keel, spec.bolts_transom)),
        ),
        marks=(
            Mark(name="lands on the keel", at=xy(on_keel_arm.middle), towards=xy(-on_keel_arm.inward)),
            Mark(name="lands on the transom", at=xy(up_arm.middle), towards=xy(-up_arm.inward)),
            Mark(name=f"throat {spec.throat:g} mm", at=xy(shape.throat), towards=xy(shape.bisector)),
        ),
        spans=(
            Span(name="toe to toe", start=xy(on_keel_arm.end), end=xy(up_arm.end)),
            Span(name="along the keel", start=xy(shape.corner), end=xy(on_keel_arm.end)),
        ),
        facts=(
            *wood_words(spec),
            f"Angle between keel top and transom face {np.degrees(shape.angle):.1f}°; edges square",
            f"Arms {spec.along_keel:g} mm along the keel, {spec.up_transom:g} mm up the transom",
            *narrow_words(boat, on_keel_arm.face, spec.sided),
            *_rounded(boat, spec),
        ),
        plane=centre_plane(-0.5 * spec.sided),
        siding=-1.0,
        body=Body(plane=centre_plane(-0.5 * spec.sided), depth=-spec.sided, moulded=wood, other=wood),
        grain=xy(shape.grain),
    )
    return (pattern,)


def _rounded(boat: Boat, spec: KneeSpec) -> tuple[str, ...]:
    """What its end needs on a curved transom: this outline is that on the centreline."""
    face = boat.hull.transom
    if not isinstance(face, Curved):
        return ()
    off = float(hollow(np.array([0.5 * spec.sided]), face.radius)[0])
    return (f"Round its end to the transom's curve: {off:.1f} mm less at both sides than in the middle",)
