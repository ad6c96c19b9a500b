"""One piece of the layer on the transom's inside as a pattern: a rail, a stile, the centre post, the doubler."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.drawing.marks import mark_of
from patterns.flat.shapes import (
    ON_CENTRE,
    area_of,
    both_halves,
    inside_points,
    largest,
    outline_of,
    without_hairs,
)
from patterns.hull.curved import Curved, stretch_of
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section
from patterns.joinery.flat_pieces import outlines, xy
from patterns.joinery.ringed import notch_notes
from patterns.joinery.rings import edge_readings, edge_runs, half_lines
from patterns.joinery.set_up import set_up_lines
from patterns.joinery.transom_layout import FORWARD
from patterns.joinery.transom_pieces import Part
from patterns.joinery.wood import corner_notes, hole_facts, level_lines, looking
from patterns.pattern import XY, Body, Hole, Kind, Line, Mark, Pattern, Reading, Span
from patterns.text.wood_facts import said
from patterns.timbers.notches import Notch
from patterns.wood.facts import Fact
from patterns.wood.register import register_places
from patterns.wood.section import adopted

__all__ = ["Layer", "part_pattern", "part_readings"]

NEAR = 0.02  # mm; two pieces nearer than this touch
BESIDE = 30.0  # mm; a corner of the hull that lies nearer to a piece is marked on its pattern
SHORT = 5.0  # mm; two pieces that touch along less are no joint
PAST = 10.0  # mm by which the centreline runs past the wood


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """What the pieces of one layer have in common.

    Attributes:
        sections: of its after face, which is the moulded one, and its fore face.
        notches: the timbers' spaces on both.
        depth_left: least depth of wood over the notches, by timber.
    """

    sections: tuple[Section, Section]
    notches: tuple[tuple[Notch, ...], tuple[Notch, ...]]
    depth_left: dict[str, float]
    stock: str
    thickness: float
    laminations: int
    facts: tuple[str, ...]

    @property
    def plane(self) -> Plane:
        """The moulded face."""
        return self.sections[0].plane


def part_readings(section: Section, area: Polygon, siding: FloatArray) -> tuple[Reading, ...]:
    """The bevels along the edges of planking and deck that belong to a piece.

    Args:
        area: the piece's wood on that face.
        siding: the direction in which the wood runs from the face, on the centreline.
    """
    turned = section.plane.turned
    return tuple(
        reading
        for name, run in edge_runs(section, adopted(area, section))
        for reading in edge_readings(
            run, turned(siding, run.uv), name, outward=1.0 if name == "deck" else -1.0
        )
    )


def part_pattern(
    boat: Boat, layer: Layer, part: Part, others: Sequence[Part], *, dowel: float | None
) -> Pattern:
    """The pattern of one piece.

    Args:
        others: the pieces that it may meet.
        dowel: the diameter of its dowels, mm.
    """
    plane, (section, behind) = layer.plane, layer.sections
    siding = FORWARD * plane.normal
    saw = part.faces[0].union(part.faces[1])
    saw = area_of(np.asarray(saw.exterior.coords))
    face, look, sides = looking(FORWARD)
    back, look_back, _ = looking(-FORWARD)
    this = "" if part.whole else f" of the {sides[0].lower()} piece"
    register = tuple(
        Hole(at=xy(at), diameter=boat.design.register)
        for at in register_places(_drillable(part, dowel), diameter=boat.design.register)
    )
    bodies = _bodies(layer, part)
    shoulders = _shoulders(part, layer.thickness)
    here = [[notch for notch in notches if _crosses(notch, saw)] for notches in layer.notches]
    timbers = {notch.timber for notches in here for notch in notches}
    return Pattern(
        name=f"transom {part.name}",
        member="transom",
        stock=layer.stock,
        thickness=layer.thickness,
        laminations=layer.laminations,
        quantity="1" if part.whole else "1 port + 1 starboard",
        face=f"{face} face (moulded){this}, seen looking {look}",
        sides=sides,
        half=part.whole,
        lines=(
            *_outline(part, Kind.SAW, saw),
            *_outline(part, Kind.FACE, part.faces[0]),
            *_outline(part, Kind.OTHER, part.faces[1]),
            *([_centre_line(saw)] if part.whole else []),
            *shoulders,
            *level_lines(boat, saw, plane),
            *set_up_lines(boat, saw, plane),
        ),
        readings=part_readings(section, part.faces[0], siding),
        behind=f"{back} face{this}, seen looking {look_back}",
        behind_readings=part_readings(behind, part.faces[1], -siding),
        holes=(
            *register,
            *(Hole(at=xy(at), diameter=dowel or 0.0, purpose="dowel") for at in part.dowels),
            *(_flip_points(saw) if part.whole else ()),
        ),
        marks=(
            *(
                mark_of(note, str)
                for note in corner_notes(section)
                if saw.distance(shapely.Point(note.at)) < BESIDE
            ),
            *(mark_of(note, str) for note in notch_notes(here[0])),
            *_joint_marks(part, others),
        ),
        behind_marks=(
            *(
                mark_of(note, str)
                for note in corner_notes(behind)
                if saw.distance(shapely.Point(note.at)) < BESIDE
            ),
            *(mark_of(note, str) for note in notch_notes(here[1])),
            *_joint_marks(part, others),
        ),
        behind_levels=(
            *shoulders,
            *level_lines(boat, saw, behind.plane),
            *set_up_lines(boat, saw, behind.plane),
        ),
        behind_stretch=stretch_of(behind.plane),
        spans=_spans(part),
        facts=(
            *layer.facts,
            *(() if part.whole else (said(Fact("turn-over"), boat.length_words),)),
            *(
                f"Wood left over the notch for the {name}: {left:.0f} mm"
                for name, left in layer.depth_left.items()
                if name in timbers
            ),
            *hole_facts(register),
        ),
        plane=plane,
        siding=FORWARD,
        depth_left={name: left for name, left in layer.depth_left.items() if name in timbers},
        body=bodies[0] if bodies else None,
        slabs=bodies[1:],
        grain=_grain(part),
    )


def _drillable(part: Part, dowel: float | None) -> Polygon:
    """The wood that both faces have, clear of laps and dowels."""
    both = part.faces[0].intersection(part.faces[1])
    for lap in part.laps:
        both = both.difference(lap.area)
    for at in part.dowels:
        both = both.difference(shapely.Point(at).buffer(dowel or 0.0))
    return max(getattr(both, "geoms", [both]), key=lambda area: float(area.area))


def _crosses(notch: Notch, saw: Polygon) -> bool:
    return bool(saw.distance(area_of(notch.corners)) < 1.0)


def _outline(part: Part, kind: Kind, area: Polygon) -> list[Line]:
    return half_lines(kind, area) if part.whole else outlines(kind, area)


def _on_centre(saw: Polygon) -> tuple[float, float]:
    """The lowest and the highest place of a piece's wood on the centreline."""
    points = np.asarray(saw.exterior.coords)
    on = points[np.abs(points[:, 0]) < ON_CENTRE, 1]
    return float(on.min()), float(on.max())


def _centre_line(saw: Polygon) -> Line:
    low, high = _on_centre(saw)
    return Line(kind=Kind.CENTRE, points=np.array([[0.0, low - PAST], [0.0, high + PAST]]), name="centreline")


def _flip_points(saw: Polygon) -> tuple[Hole, ...]:
    return tuple(Hole(at=(0.0, v), diameter=1.0, purpose="flip point") for v in _on_centre(saw))


def _shoulders(part: Part, thickness: float) -> list[Line]:
    """The lines at which half laps begin."""
    found = []
    for lap in part.laps:
        face = "fore" if lap.keeps_after else "after"
        words = (
            f"half lap with the {lap.other}: beyond this line cut {0.5 * thickness:g} mm off the {face} face"
        )
        within = shapely.union(*part.faces).buffer(-0.05)
        runs = inside_points(within, [np.asarray(lap.area.exterior.coords)])
        found += [
            Line(kind=Kind.REFERENCE, points=run, name=words if i == 0 else "")
            for i, run in enumerate(sorted(runs, key=len, reverse=True))
        ]
    return found


def _joint_marks(part: Part, others: Sequence[Part]) -> Iterator[Mark]:
    """The names of the pieces that butt against this one, where they do."""
    lapped = {lap.other for lap in part.laps}
    near = part.faces[0].buffer(NEAR)
    for other in others:
        if other.name == part.name or other.name in lapped:
            continue
        shared = shapely.line_merge(shapely.intersection(near, other.faces[0].exterior))
        runs = [run for run in shapely.get_parts(shared) if run.length > SHORT]
        for run in sorted(runs, key=lambda run: -float(run.length))[:1]:
            at = run.interpolate(0.5, normalized=True)
            yield Mark(name=f"butts on the {other.name}", at=(float(at.x), float(at.y)), word=True)


def _spans(part: Part) -> tuple[Span, ...]:
    """Long distances over the piece, between corners of its outline on the moulded face."""
    points = outline_of(part.faces[0])
    if part.whole:
        low, high = _on_centre(part.faces[0])
        far = points[int(np.hypot(points[:, 0], points[:, 1] - low).argmax())]
        return (
            Span(name="lower flip point to the farthest corner", start=(0.0, low), end=xy(far)),
            Span(name="flip point to flip point", start=(0.0, low), end=(0.0, high)),
        )
    apart = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(apart.argmax()), apart.shape)
    return (Span(name="farthest corners", start=xy(points[i]), end=xy(points[j])),)


def _grain(part: Part) -> XY:
    """Along the piece: athwartships in rails, and up stiles and post."""
    if part.whole and np.ptp(part.middle[:, 0]) < 1.0:
        return (0.0, 1.0)
    if part.whole:
        return (1.0, 0.0)
    along = part.middle[-1] - part.middle[0]
    return xy(along / np.hypot(*along))


def _bodies(layer: Layer, part: Part) -> tuple[Body, ...]:
    """The wood where it stands: of a lapped piece each half of its thickness; a bent piece is no flat one."""
    if isinstance(layer.plane, Curved):
        return ()
    depth = FORWARD * layer.thickness
    if not part.laps:
        return (_slab(layer.plane, depth, part.faces, part.whole),)
    after, fore = (
        shapely.union_all([lap.area for lap in part.laps if lap.keeps_after == keeps])
        for keeps in (False, True)
    )
    halves = (
        (layer.plane, (part.faces[0], part.halfway), after),
        (layer.plane.moved(0.5 * depth), (part.halfway, part.faces[1]), fore),
    )
    return tuple(
        _slab(plane, 0.5 * depth, tuple(shapely.difference(face, gone) for face in faces), part.whole)
        for plane, faces, gone in halves
    )


def _slab(plane: Plane, depth: float, faces: tuple[Any, ...], whole: bool) -> Body:
    halves = [largest(without_hairs(face)) for face in faces]
    # Where a lap takes its middle away, a piece across the centreline is two there.
    whole = whole and max(half.bounds[0] for half in halves) < ON_CENTRE
    first, second = (largest(both_halves(half)) if whole else half for half in halves)
    return Body(plane=plane, depth=depth, moulded=first, other=second, mirrored=not whole)
