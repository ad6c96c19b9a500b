"""The stem knee: it ties the stem's after face to the keel's top."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.stem_models import StemKneeSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import meet
from patterns.flat.shapes import area_of
from patterns.hull.planes import centre_plane
from patterns.joinery.keel_faces import keel_top, narrow_words
from patterns.joinery.knee_shapes import bolt_lines, face_from, knee_shape, unit, xy
from patterns.joinery.wood import Piece, wood_words
from patterns.members.stem import stem_of
from patterns.pattern import Body, Kind, Line, Mark, Pattern, Span

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
    on_keel, up_stem = shape.arms
    wood = area_of(shape.outline)
    plane = centre_plane(-0.5 * spec.sided)
    pattern = Pattern(
        name=spec.name,
        member="stem knee",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face="port side, seen from port",
        sides=("AFT", "FORWARD", "UP"),
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=shape.outline, closed=True),
            *bolt_lines(shape, (spec.bolts_keel, spec.bolts_stem)),
        ),
        marks=(
            Mark(name="lands on the keel", at=xy(on_keel.middle), towards=xy(-on_keel.inward)),
            Mark(name="lands on the stem", at=xy(up_stem.middle), towards=xy(-up_stem.inward)),
            Mark(name=f"throat {spec.throat:g} mm", at=xy(shape.throat), towards=xy(shape.bisector)),
        ),
        spans=(
            Span(name="toe to toe", start=xy(on_keel.end), end=xy(up_stem.end)),
            Span(name="along the keel", start=xy(shape.corner), end=xy(on_keel.end)),
        ),
        facts=(
            *wood_words(spec),
            f"Angle between keel top and stem's after face {np.degrees(shape.angle):.1f}°; edges square",
            f"Arms {spec.along_keel:g} mm along the keel, {spec.up_stem:g} mm up the stem",
            *narrow_words(boat, on_keel.face, spec.sided),
        ),
        plane=plane,
        siding=-1.0,
        body=Body(plane=plane, depth=-spec.sided, moulded=wood, other=wood),
        grain=xy(shape.grain),
    )
    return (pattern,)
