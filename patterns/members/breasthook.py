"""The breasthook: the knee that ties both clamps to the stem under the deck."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.flat.polylines import conic, lengths, mirrored
from patterns.flat.shapes import area_of
from patterns.hull.cuts import Trace
from patterns.hull.deck_heights import deck_over
from patterns.hull.planes import FloatArray, Plane, plane_through, station_plane
from patterns.hull.sections import sheer_corner
from patterns.joinery.clamp_faces import clamp_of
from patterns.joinery.knee_shapes import xy
from patterns.joinery.rings import edge_readings, half_lines
from patterns.joinery.wood import Piece, hole_facts, lamination_words
from patterns.member_kind import MemberKind
from patterns.members.breasthook_keys import BREASTHOOK, BreasthookSpec
from patterns.members.quarter_knee import clamp_trace
from patterns.members.stem import after_face
from patterns.pattern import Body, FaceEdge, Hole, Kind, Line, Mark, Pattern, Reading, Span, redrawn
from patterns.wood.register import register_places

__all__ = ["KIND", "breasthook_plane", "pieces"]

PLANED = 90.0  # mm between the places at which it is said how much comes off for the crown
LEAST_PLANED = 0.25  # mm; less is no planing to speak of


def breasthook_plane(boat: Boat, length: float, off: float) -> tuple[Plane, FloatArray]:
    """The plane through the deck's underside at the stem and at the toes, square to the centreline plane.

    Args:
        length: from the stem's after face to the toes, along the plane, mm.
        off: from the inside of planking to the faces that it fits (the clamps' thickness), mm.
    Returns:
        The plane, its origin on the stem's after face and v running aft; and the toe's place (3,).
    """
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)
    height = float(boat.hull.profile.at(np.array(boat.hull.profile.start))[2])
    for _ in range(12):  # the deck's underside and the stem's after face, each by the other, to a hair
        x = float(np.interp(height, after[::-1, 1], after[::-1, 0]))
        deck = boat.hull.deck_underside(station_plane(x))
        if deck is None:
            raise PatternsError("the deck does not reach the stem's after face")
        height = float(deck.uv[0, 1])
    fore = np.array([x, 0.0, height])
    reach = length
    for _ in range(4):  # the plane's slope changes its reach along x by very little
        toe = sheer_corner(boat.hull, station_plane(x + reach), deeper=off)
        reach *= length / float(np.hypot(toe[0] - fore[0], toe[2] - fore[2]))
    return plane_through(fore, toe), toe


def pieces(boat: Boat) -> Iterator[Piece]:
    """The breasthook, if the design has one."""
    for spec in boat.design.all(BreasthookSpec):
        yield "[breasthook]", partial(_breasthook, boat, spec)


def _breasthook(boat: Boat, spec: BreasthookSpec) -> tuple[Pattern, ...]:
    """The breasthook's pattern, or one for each of its laminations.

    Raises:
        PatternsError: the sides do not reach the plane, or the throat and toes leave no wood.
    """
    clamp = clamp_of(boat)
    off = clamp.deep if clamp is not None else 0.0
    through, _ = breasthook_plane(boat, spec.length, off)
    siding = through.normal if through.normal[2] < 0.0 else -through.normal
    # Flat, it is lowered until no wood stands in the deck; crowned, raised until all that is planed away is there.
    top = through
    for _ in range(2):
        low, high = _deck_range(boat, top, spec, siding)
        top = top.moved(float(siding @ top.normal) * -(high if spec.top == "crowned" else low))
    nose, _ = _nose(boat, top)
    top = Plane(origin=top.origin + nose * top.v, u=top.u, v=top.v)  # its length counts from the stem there
    each = spec.sided / spec.laminations
    planes = [top.moved(float(siding @ top.normal) * k * each) for k in range(spec.laminations + 1)]
    if not spec.each_lamination:
        return (_pattern(boat, spec, planes, siding, name="breasthook", under=high - low, crown=0.0),)
    return tuple(
        _pattern(
            boat,
            spec,
            planes[k : k + 2],
            siding,
            name=f"breasthook lamination {k + 1}",
            under=high - low,
            crown=k * each,
        )
        for k in range(spec.laminations)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Face:
    """One face of the breasthook, its starboard half.

    Attributes:
        edge: the faying edge from the stem to the toe.
        nose: where the stem's after face crosses the centreline, v, mm.
        into: the nose's unit normal, into the stem, (3,).
        start: the outline from the centreline along the stem to the faying edge, (n, 2).
    """

    edge: Trace
    nose: float
    into: FloatArray
    start: FloatArray


def _face(boat: Boat, spec: BreasthookSpec, plane: Plane) -> _Face:
    nose, into = _nose(boat, plane)
    trace = _beside(boat, plane)
    order = np.argsort(trace.uv[:, 1])
    run = Trace(uv=trace.uv[order], normal=trace.normal[order], r=trace.r[order])
    v, index = run.uv[:, 1], np.arange(len(run))
    if v[0] > nose or v[-1] < spec.length:
        raise PatternsError("the side beside it does not reach from the stem to the toes; make it shorter")
    first = float(np.interp(nose, v, index))
    start = np.array([[0.0, nose]])
    half = 0.5 * boat.design.bow.sided
    if run.place(first)[0][0] < half:
        # The clamps end on the planes of the stem's sides: abaft the stem it fills the room between their ends.
        first = float(np.interp(half, run.uv[:, 0], index))
        start = np.array([[0.0, nose], [half, nose]])
    if spec.stem == "notched":
        ahead = run.between(0.0, first)
        if len(start) > 1 or ahead.uv[:, 0].min() >= half:
            raise PatternsError(
                f"the stem, sided {2.0 * half:g} mm, fills the room between the sides at its after face: there is "
                'nothing to notch it round; write stem = "butted"'
            )
        first = float(np.interp(half, run.uv[: int(first) + 2, 0], index[: int(first) + 2]))
        start = np.array([[0.0, nose], [half, nose]])
    return _Face(
        edge=run.between(first, float(np.interp(spec.length, v, index))), nose=nose, into=into, start=start
    )


def _beside(boat: Boat, plane: Plane) -> Trace:
    """What its arms lie against: the clamp's inner face, or the inside of planking where there is no clamp."""
    if clamp_of(boat) is not None:
        return clamp_trace(boat, plane)
    side = boat.hull.strakes[-1]
    trace = side.along(plane, inset=side.inset, r_range=(-0.5, 1.5))
    if trace is None:
        raise PatternsError("the breasthook's plane does not meet the planking")
    return trace


def _pattern(
    boat: Boat,
    spec: BreasthookSpec,
    planes: Sequence[Plane],
    siding: FloatArray,
    *,
    name: str,
    under: float,
    crown: float,
) -> Pattern:
    """One stack of laminations, or one of them.

    Args:
        planes: its faces from the top one down.
        under: the most that is planed off for the crown, or by which the deck stands above its flat top, mm.
        crown: how far the first face lies below the whole breasthook's top, mm.
    """
    faces = [_face(boat, spec, plane) for plane in planes]
    # The inner edge is square, so it is one line on every face: that of the narrowest.
    narrow = min(faces, key=lambda face: float(face.edge.uv[-1, 0])).edge
    inner = _inner(narrow.uv, spec.throat, spec.toe)
    halves = [area_of(np.vstack([face.start, face.edge.uv, inner])) for face in faces]
    saw = area_of(np.asarray(shapely.union_all(halves).exterior.coords))
    top, side = planes[0], boat.hull.strakes[-1].name
    thickness = spec.sided * (len(planes) - 1) / spec.laminations
    first, last = faces[0], faces[-1]
    places = register_places(shapely.intersection_all(halves), diameter=boat.design.register)
    register = tuple(Hole(at=xy(place), diameter=boat.design.register) for place in places)
    sense = float(np.sign(siding @ top.normal))
    toes = [float(face.edge.uv[-1, 0] - inner[0, 0]) for face in (first, last)]
    pattern = Pattern(
        name=name,
        member="breasthook",
        stock=spec.stock,
        thickness=thickness,
        laminations=len(planes) - 1,
        quantity="1",
        face="top face (moulded), seen from above",
        behind="under face, seen from below",
        readings=_readings(first, siding, side),
        behind_readings=_readings(last, -siding, side),
        behind_marks=(_stem_mark(boat, last),),
        sides=("STARBOARD", "PORT", "FORWARD"),
        half=True,
        lines=(
            *half_lines(Kind.SAW, saw),
            *half_lines(Kind.FACE, halves[0]),
            *half_lines(Kind.OTHER, halves[-1]),
            *(line for half in halves[1:-1] for line in half_lines(Kind.LAMINATION, half)),
            Line(
                kind=Kind.CENTRE,
                points=np.array([[0.0, -10.0], [0.0, spec.length + 10.0]]),
                name="centreline",
            ),
        ),
        holes=(
            *register,
            Hole(at=(0.0, first.nose), diameter=1.0, purpose="flip point"),
            Hole(at=(0.0, spec.length), diameter=1.0, purpose="flip point"),
        ),
        marks=(_stem_mark(boat, first), *_planing_marks(boat, spec, planes[0], halves[0])),
        spans=(Span(name="nose to toe", start=(0.0, first.nose), end=xy(first.edge.uv[-1])),),
        facts=(
            lamination_words(spec.stock, thickness, len(planes) - 1, way="sided"),
            f"Its top lies in a plane sloping {_slope_words(top)}",
            _crown_words(spec, under, crown),
            "Fits the clamps' inner faces" if clamp_of(boat) is not None else "Fits the inside of planking",
            f"Toes {toes[0]:.0f} mm on this face, {toes[1]:.0f} mm on the other: the inner edge is square",
            *hole_facts(register),
        ),
        plane=top,
        siding=sense,
        edges=(
            FaceEdge(face="moulded face", strake=side, uv=first.edge.uv, bevel=first.edge.bevel(siding)),
            FaceEdge(face="other face", strake=side, uv=last.edge.uv, bevel=last.edge.bevel(siding)),
        ),
        body=_body(boat, spec, planes, siding, inner, under=under, crown=crown),
        grain=(1.0, 0.0),
    )
    return redrawn(pattern, np.diag([1.0, -1.0]))  # the plane's v runs aft; forward is drawn up


def _readings(face: _Face, siding: FloatArray, side: str) -> tuple[Reading, ...]:
    """The bevels of one face: along the faying edge, and on the stem."""
    return (
        *edge_readings(face.edge, siding, side),
        Reading(
            at=(0.0, face.nose),
            bevel=float(np.arccos(np.clip(face.into @ siding, -1.0, 1.0))),
            towards=(0.0, -1.0),
            edge="nose",
            where="nose on the stem",
        ),
    )


def _stem_mark(boat: Boat, face: _Face) -> Mark:
    return Mark(name="stem's side", at=(0.5 * boat.design.bow.sided, face.nose), towards=(0.0, -1.0))


def _body(
    boat: Boat,
    spec: BreasthookSpec,
    planes: Sequence[Plane],
    siding: FloatArray,
    inner: FloatArray,
    *,
    under: float,
    crown: float,
) -> Body | None:
    """Its wood; of a crowned one what is left under all planing; None where a lamination is planed through."""
    top = planes[0]
    down = float(siding @ top.normal)
    depth = -float(planes[-1].height_over(top.origin))
    gone = max(under - crown, 0.0) if spec.top == "crowned" else 0.0
    if gone >= abs(depth):
        return None
    top, depth = top.moved(down * gone), depth - down * gone
    rings = []
    for face in (_face(boat, spec, top), _face(boat, spec, planes[-1])):
        run = lengths(face.edge.uv)
        even = np.stack(
            [np.interp(np.linspace(0.0, run[-1], 161), run, face.edge.uv[:, k]) for k in (0, 1)], axis=-1
        )
        half = np.vstack([face.start, even, inner])
        whole = np.vstack([half, mirrored(half)[::-1][1:-1], half[:1]])
        rings.append(whole if shapely.is_ccw(shapely.linearrings(whole)) else whole[::-1])
    why = (
        "its top is planed to the crown" if spec.top == "crowned" else "its top is flat; pack it to the deck"
    )
    return Body(
        plane=top,
        depth=depth,
        moulded=Polygon(rings[0]),
        other=Polygon(rings[1]),
        by_design=(("deck", 0.0, why),),
        edge=((rings[0], rings[1]),),
    )


def _deck_range(boat: Boat, plane: Plane, spec: BreasthookSpec, siding: FloatArray) -> tuple[float, float]:
    """How far the deck's underside stands over the plane, square to it, over its wood: the least and the most, mm.

    Less than 0 where the deck dips below the plane.
    """
    face = _face(boat, spec, plane)
    under = _face(boat, spec, plane.moved(float(siding @ plane.normal) * spec.sided))
    narrow = min((face, under), key=lambda one: float(one.edge.uv[-1, 0]))
    inner = _inner(narrow.edge.uv, spec.throat, spec.toe)
    ring = np.vstack([face.start, face.edge.uv, inner])
    middle = np.stack([np.zeros(9), np.linspace(face.nose, spec.throat, 9)], axis=-1)
    over = deck_over(boat.hull, plane, np.vstack([ring, middle])) * abs(float(siding[2]))
    return float(over.min()), float(over.max())


def _crown_words(spec: BreasthookSpec, under: float, crown: float) -> str:
    if spec.top == "flat":
        if under < 0.05:
            return "Its top is flat and meets the deck's underside"
        return f"Its top is flat; the deck's underside is up to {under:.1f} mm above it: pack that"
    if crown >= under:
        return "Lies whole under the crown that is planed above it"
    return (
        f"Glued up, its top is planed to the deck's crown: up to {under - crown:.1f} mm comes off, as marked"
    )


def _planing_marks(boat: Boat, spec: BreasthookSpec, top: Plane, half: Polygon) -> tuple[Mark, ...]:
    """How much wood comes off for the crown, along the centreline, the faying edge and the inner edge."""
    if spec.top == "flat":
        return ()
    ring = np.asarray(half.exterior.coords)[:-1]
    run = lengths(np.vstack([ring, ring[:1]]))
    spaced = np.unique([int(np.abs(run[:-1] - far).argmin()) for far in np.arange(0.0, run[-1], PLANED)])
    places = np.vstack([
        ring[spaced], np.stack([np.zeros(2), np.linspace(ring[0, 1], spec.throat, 4)[1:-1]], axis=-1)
    ])  # fmt: skip
    off = -deck_over(boat.hull, top, places) * abs(float(top.normal[2]))
    return tuple(
        Mark(name=f"off {amount:.1f}", at=xy(place))
        for place, amount in zip(places, off, strict=True)
        if amount > LEAST_PLANED
    )


def _slope_words(plane: Plane) -> str:
    slope = float(np.degrees(np.arctan2(plane.v[2], plane.v[0])))
    return f"{abs(slope):.1f}° {'up' if slope > 0 else 'down'} going aft"


def _nose(boat: Boat, plane: Plane) -> tuple[float, FloatArray]:
    """Where the stem's after face crosses the plane (v, mm), and the nose's unit normal (3,), into the stem."""
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)
    points = np.stack([after[:, 0], np.zeros(len(after)), after[:, 1]], axis=-1)
    over = plane.height_over(points)
    crossing = np.nonzero((over[:-1] <= 0.0) != (over[1:] <= 0.0))[0]
    if len(crossing) == 0:
        raise PatternsError("its plane does not meet the stem's after face; is the stem moulded too deep?")
    i = int(crossing[0])
    part = over[i] / (over[i] - over[i + 1])
    run = points[i + 1] - points[i]
    into = np.array([run[2], 0.0, -run[0]])
    into = into if into[0] < 0.0 else -into
    return float(plane.flat(points[i] + part * run)[1]), into / np.linalg.norm(into)


def _inner(edge: FloatArray, throat: float, toe: float) -> FloatArray:
    """The inner edge from the toe's inner corner to the throat on the centreline; no arm is narrower than its toe.

    It leaves the toe parallel to the faying edge and crosses the centreline squarely.
    """
    end = edge[-1] - np.array([toe, 0.0])
    if end[0] <= 0.0:
        raise PatternsError(
            f"its toes are {toe:g} mm broad and take up its whole breadth, {edge[-1, 0]:.0f} mm to each side; "
            "make the toe narrower or the piece longer"
        )
    along = edge[-1] - edge[0]
    reach = float(end[0] - (end[1] - throat) * along[0] / along[1])
    least = float(end[1] - end[0] * along[1] / along[0])
    if throat >= edge[-1, 1] or reach <= 0.0:
        raise PatternsError(
            f"its throat is {throat:g} mm, but its arms leave room only from {max(least, 0.0):.0f} to "
            f"{edge[-1, 1]:.0f} mm; give it one between"
        )
    return conic(end, np.array([reach, throat]), np.array([0.0, throat]))


KIND = MemberKind.made(BREASTHOOK, pieces, at="stem")
