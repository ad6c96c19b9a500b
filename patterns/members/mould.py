"""The mould: a temporary ring without bevels that the boat is planked over.

Its edge is square to its faces and is the lesser of its two sections, so that no corner of it stands outside of
what lies on it.  It is out of the boat before deck and knees go in, so it is measured against no other piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.bounds import Bound, Scale, most_siding
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.mould_models import MouldSpec
from patterns.errors import PatternsError, Problem
from patterns.flat.polylines import normals_left
from patterns.flat.shapes import area_of, largest, parts_of
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.lining import lined_off, outside_girth
from patterns.joinery.ringed import notches_in
from patterns.joinery.rings import CRUMB, half_lines
from patterns.joinery.set_up import set_up_at, set_up_facts, set_up_lines
from patterns.joinery.wood import Piece, level_lines, looking
from patterns.member_kind import MemberKind
from patterns.pattern import Hole, Kind, Line, Mark, Pattern, Span
from patterns.text.wood_facts import said

__all__ = ["KIND", "mould_edge", "pieces"]

PAST = 10.0  # mm by which the centreline runs past the wood
SAME = 1e-6  # mm; nearer points are one
SPOKEN = 0.5  # mm; lesser departures of the two sections are not worth a word


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every mould in the design."""
    for spec in boat.design.all(MouldSpec):
        yield f'mould "{spec.name}"', partial(_mould, boat, spec)


def mould_edge(section: Section, head: float) -> FloatArray:
    """The inside of planking from the centreline up past the sheer to a level, (n, 2).

    Args:
        head: the level's v, mm; the edge is carried on straight where the planking ends below it.
    Raises:
        PatternsError: the planking falls where it should rise.
    """
    names = list(section.traces)
    last = section.long_traces[names[-1]]
    first = section.traces[names[-1]]
    side = np.vstack([first.uv[:1], last.uv[last.r > first.r[0] + 1e-9]])
    edge = np.vstack([*(section.traces[name].uv for name in names[:-1]), side])
    edge = edge[
        np.append(True, np.hypot(*np.diff(edge, axis=0).T) > SAME)
    ]  # strakes share their chine's point
    over = np.nonzero(edge[:, 1] >= head)[0]
    over = over[over > int(edge[:, 1].argmin())]
    stop = int(over[0]) if len(over) else len(edge)
    low, high = (edge[stop - 1], edge[stop]) if stop < len(edge) else (edge[-2], edge[-1])
    if not high[1] > low[1] + 1e-9:
        raise PatternsError("the planking does not rise to its head; look at the lines there")
    share = (head - low[1]) / (high[1] - low[1])
    return np.vstack([edge[:stop], low + share * (high - low)])


def _sheer_place(section: Section) -> FloatArray:
    """Where the sheer itself lies abreast of the edge, (2,)."""
    trace = section.long_traces[list(section.traces)[-1]]
    return np.array([np.interp(1.0, trace.r, trace.uv[:, k]) for k in (0, 1)])


def _mould(boat: Boat, spec: MouldSpec) -> tuple[Pattern, ...]:
    x = boat.distance(spec.at)
    sense = 1.0 if x < boat.hull.widest else -1.0
    if spec.siding_runs is not None:
        sense = 1.0 if spec.siding_runs == "aft" else -1.0
    plane = station_plane(x)
    less = spec.ribbands + spec.bent_frames
    sections = tuple(cut_hull(boat.hull, at, deeper=less) for at in (plane, plane.moved(sense * spec.sided)))
    section = sections[0]
    sheer = _sheer_place(section)
    head = float(sheer[1]) + spec.head
    edges = [mould_edge(each, head) for each in sections]
    halves = [area_of(np.vstack([edge, [0.0, head]])) for edge in edges]
    half = largest(shapely.intersection(*halves))
    top = set_up_at(boat, plane) if spec.legs is not None else None
    keels = {timber.name for timber in boat.design.timbers if timber.kind == "keel"}
    wood = _wood(spec, half, edges, head, top)
    for each in sections:
        for notch in notches_in(boat, each):
            if notch.timber in ("stem", *spec.lets_in) or notch.timber in keels:
                wood = shapely.difference(wood, area_of(notch.corners))
    parts = parts_of(wood, least=CRUMB)
    if len(parts) != 1:
        raise PatternsError("the notches cut it in pieces; give it a greater depth")
    wood = parts[0]
    face, look, sides = looking(sense)
    low = float(section.apex[1])
    high = float(wood.bounds[3])
    pricked = [Hole(at=(0.0, v), diameter=1.0, purpose="flip point") for v in (low, head)]
    planks, marks = _plank_marks(boat, spec, section)
    corner = (float(sheer[0]), float(sheer[1]))
    return (
        Pattern(
            name=f"mould {spec.name}",
            member="mould",
            stock=spec.stock,
            thickness=spec.sided,
            laminations=1,
            quantity="1",
            face=f"{face} face (moulded), seen looking {look}",
            sides=sides,
            half=True,
            lines=(
                *half_lines(Kind.SAW, wood),
                Line(
                    kind=Kind.CENTRE,
                    points=np.array([[0.0, low - PAST], [0.0, high + PAST]]),
                    name="centreline",
                ),
                *level_lines(boat, wood, plane),
                *set_up_lines(boat, wood, plane),
            ),
            holes=tuple(pricked),
            marks=(_tick(edges[0], sheer, "sheer"), *_chine_marks(section), *marks),
            spans=(
                Span(name="lower flip point to sheer", start=pricked[0].at, end=corner),
                Span(name="upper flip point to sheer", start=pricked[1].at, end=corner),
            ),
            facts=(
                f"{spec.stock}, sided {spec.sided:g} mm; edges square, no bevel",
                f"Moulded face: the {face} one, {boat.length_words(x)} aft; it stands at the station",
                *_less_words(spec),
                *_trimmed_words(halves),
                f"Across both halves, sheer to sheer: {boat.length_words(2.0 * sheer[0])}",
                *planks,
                *(said(fact, boat.length_words) for fact in set_up_facts(boat, section)),
            ),
            plane=plane,
            siding=sense,
        ),
    )


def _inside(edges: Sequence[FloatArray], moulded: float) -> Any:
    """What lies farther than the moulding inside of both faces' edges, the edges run on far above the heads.

    The whole section is moved in at once, so that at a chine the inner edge is one clean corner.
    """
    wholes = []
    for edge in edges:
        high = edge[-1] + [0.0, 10.0 * moulded]
        half = np.vstack([edge, high])
        wholes.append(area_of(np.vstack([half, half[::-1] * [-1.0, 1.0]])))
    return shapely.buffer(shapely.intersection_all(wholes), -moulded, join_style="mitre")


def _wood(spec: MouldSpec, half: Polygon, edges: Sequence[FloatArray], head: float, top: float | None) -> Any:
    """Half of the ring with its leg and its piece across.

    Args:
        half: all that lies inside of both faces' edges, up to the heads.
        edges: those edges, each from the centreline out and up to the heads.
        top: the set-up line's v where legs reach up to it.
    Raises:
        PatternsError: the set-up line does not lie above the heads, or the sections do not reach them.
    """
    wood: Any = shapely.difference(half, _inside(edges, spec.moulded))
    end = head
    side = float(half.intersection(shapely.box(-1.0, head - 0.01, 1e5, head)).bounds[2])
    if not np.isfinite(side):
        raise PatternsError("the sections have no breadth at its head; look at the lines there")
    if spec.legs is not None:
        if top is None:
            raise PatternsError(
                "its legs reach up to no set-up line; give [set_up] with line, or take legs out"
            )
        if top <= head:
            raise PatternsError(
                f"its heads stand {head - top:.0f} mm above the set-up line, which legs are to reach; "
                "set the line higher or take legs out"
            )
        wood = shapely.union(
            wood, shapely.intersection(shapely.box(side - spec.legs, head - spec.moulded, side, head), half)
        )
        wood = shapely.union(wood, shapely.box(side - spec.legs, head, side, top))
        end = top
    if spec.cross_piece is not None:
        across = shapely.box(0.0, end - spec.cross_piece, side, end)
        wood = shapely.union(wood, across if spec.legs is not None else shapely.intersection(across, half))
    return wood


def _tick(edge: FloatArray, at: FloatArray, name: str) -> Mark:
    """A short line out from the edge at a place on it."""
    out = -normals_left(edge)
    i = int(np.hypot(*(edge - at).T).argmin())
    return Mark(name=name, at=(float(at[0]), float(at[1])), towards=(float(out[i, 0]), float(out[i, 1])))


def _chine_marks(section: Section) -> list[Mark]:
    return [
        Mark(name=f"{corner.name}, inside of planking", at=(float(corner.at[0]), float(corner.at[1])))
        for corner in section.corners[:-1]
    ]


def _plank_marks(boat: Boat, spec: MouldSpec, section: Section) -> tuple[list[str], list[Mark]]:
    """The lining off, in words and as ticks."""
    if spec.planks is None and not spec.plank_girths:
        return [], []
    places = lined_off(boat, section, count=spec.planks, girths=spec.plank_girths)
    whole = float(outside_girth(boat, section)[0][-1])
    edge = np.vstack([trace.uv for trace in section.traces.values()])
    marks = [_tick(edge, at, f"plank {i}") for i, at in enumerate(places, start=1)]
    words = f"Lining off: girth over the planking, rabbet to sheer, {boat.length_words(whole)}"
    if spec.planks is not None:
        words += f"; {spec.planks} planks of {boat.length_words(whole / spec.planks)}"
    return [f"{words}; each tick is a plank's upper edge"], marks


def _less_words(spec: MouldSpec) -> list[str]:
    parts = [
        f"{value:g} mm for {what}"
        for value, what in ((spec.ribbands, "ribbands"), (spec.bent_frames, "bent frames"))
        if value > 0.0
    ]
    return [f"Besides the planking {' and '.join(parts)} are taken off, square to it"] if parts else []


def _trimmed_words(halves: list[Polygon]) -> list[str]:
    """How much the moulded face gives up where the other face is the lesser one."""
    lost = float(shapely.hausdorff_distance(halves[0].exterior, shapely.intersection(*halves).exterior))
    if lost < SPOKEN:
        return []
    return [
        f"Its edge lies up to {lost:.1f} mm inside of the station's section, so that the other face's corner "
        "stands nowhere outside; fair the ribbands past it"
    ]


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its planks are lined off in one way."""
    for place, mould in parts.all(MouldSpec):
        if mould.planks is not None and mould.plank_girths:
            what = "planks and plank_girths both stand there"
            yield Problem(f"{place}, key planks", what, "keep one of them", code="conflicting-keys")


def _bounds(mould: MouldSpec, scale: Scale) -> Iterator[Bound]:
    yield Bound("sided", mould.sided, 3.0, most_siding(scale), "the boat")
    least, most = 1.5 * mould.sided, 0.5 * scale.breadth
    yield Bound("moulded", mould.moulded, least, most, "its siding and the boat")


_STARTER: Mapping[str, str] = {
    "round bilge": """\
# One such table for every mould. A mould is taken out again: it has no bevels and comes to the inside of planking.
[[mould]]
name = "5"
at = "station 5"                   # or a distance aft, as "4-0-0"
sided = "18 mm"
moulded = "90 mm"                  # depth of the ring in from its edge
legs = "80 mm"                     # breadth of its legs up to the set-up line
cross_piece = "80 mm"              # depth of the piece across their heads
planks = 9                         # to a side: ticks show where their edges lie
stock = "18 mm chipboard"
""",
}


KIND = MemberKind(
    name="mould",
    order=10,
    pieces=pieces,
    tables=(Table(name="mould", model=MouldSpec, sawn="sided", bounds=_bounds),),
    rules=(_rules,),
    starter=_STARTER,
)
