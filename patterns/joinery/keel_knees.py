"""The pattern of a knee that stands on the keel: both faces alike, edges square, drawn on its port side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.boat import Boat
from patterns.design.shared_keys import KneeKeys
from patterns.flat.shapes import area_of
from patterns.hull.planes import centre_plane
from patterns.joinery.keel_faces import narrow_words
from patterns.joinery.knee_shapes import KneeShape, bolt_lines, xy
from patterns.joinery.wood import wood_words
from patterns.pattern import Body, Kind, Line, Mark, Pattern, Span

__all__ = ["keel_knee_pattern"]


def keel_knee_pattern(
    boat: Boat,
    spec: KneeKeys,
    shape: KneeShape,
    *,
    name: str,
    end: str,
    face: str,
    arms: tuple[float, float],
    bolts: tuple[Sequence[float], Sequence[float]],
    facts: tuple[str, ...] = (),
) -> Pattern:
    """The knee as one pattern.

    Args:
        name: the knee's own.
        shape: its first arm lies on the keel, its second goes up the other member.
        end: that other member, as "transom".
        face: the face of it that the knee lands on, in words.
        arms: the length along the keel and up that member, mm.
        bolts: the bolts of each arm, by their distances from the corner, mm.
        facts: words for the bench, after those that every such knee has.
    """
    on_keel, up = shape.arms
    wood = area_of(shape.outline)
    plane = centre_plane(-0.5 * spec.sided)
    return Pattern(
        name=name,
        member=f"{end} knee",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face="port side, seen from port",
        sides=("AFT", "FORWARD", "UP"),
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=shape.outline, closed=True),
            *bolt_lines(shape, bolts),
        ),
        marks=(
            Mark(name="lands on the keel", at=xy(on_keel.middle), towards=xy(-on_keel.inward)),
            Mark(name=f"lands on the {end}", at=xy(up.middle), towards=xy(-up.inward)),
            Mark(name=f"throat {spec.throat:g} mm", at=xy(shape.throat), towards=xy(shape.bisector)),
        ),
        spans=(
            Span(name="toe to toe", start=xy(on_keel.end), end=xy(up.end)),
            Span(name="along the keel", start=xy(shape.corner), end=xy(on_keel.end)),
        ),
        facts=(
            *wood_words(spec),
            f"Angle between keel top and {face} {np.degrees(shape.angle):.1f}°; edges square",
            f"Arms {arms[0]:g} mm along the keel, {arms[1]:g} mm up the {end}",
            *narrow_words(boat, on_keel.face, spec.sided),
            *facts,
        ),
        plane=plane,
        siding=-1.0,
        body=Body(plane=plane, depth=-spec.sided, moulded=wood, other=wood),
        grain=xy(shape.grain),
    )
