"""The breasthook: the knee that ties both clamps to the stem under the deck."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.design.file import BreasthookSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import conic
from patterns.flat.shapes import area_of
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, plane_through, station_plane
from patterns.hull.sections import sheer_corner
from patterns.members.rings import edge_readings, half_lines, register_places
from patterns.members.stem import after_face
from patterns.members.wood import Piece, hole_facts, wood_words
from patterns.pattern import FaceEdge, Hole, Kind, Line, Mark, Pattern, Reading, Span, redrawn

__all__ = ["breasthook_plane", "pieces"]


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
    spec = boat.design.breasthook
    if spec is not None:
        yield "[breasthook]", partial(_breasthook, boat, spec)


def _breasthook(boat: Boat, spec: BreasthookSpec) -> tuple[Pattern, ...]:
    """The breasthook's pattern.

    Raises:
        PatternsError: the sides do not reach the plane, or the throat and toes leave no wood.
    """
    hull = boat.hull
    side = hull.strakes[-1]
    clamp = next((item for item in boat.design.timbers if item.kind == "clamp"), None)
    off = clamp.off if clamp is not None else 0.0
    top, _ = breasthook_plane(boat, spec.length, off)
    siding = top.normal if top.normal[2] < 0.0 else -top.normal
    each = spec.sided / spec.laminations
    planes = [
        Plane(origin=top.origin + k * each * siding, u=top.u, v=top.v) for k in range(spec.laminations + 1)
    ]
    traces = []
    for plane in planes:
        trace = side.along(plane, inset=side.inset + off, r_range=(-0.5, 1.5))
        if trace is None:
            raise PatternsError("the breasthook's plane does not meet the planking")
        traces.append(trace)
    noses = [_nose(boat, plane) for plane in planes]
    edges = [_edge_of(trace, nose, spec.length) for trace, (nose, _) in zip(traces, noses, strict=True)]
    # The inner edge is square, so it is one line on every face: that of the narrowest.
    inner = _inner(min(edges, key=lambda edge: float(edge.uv[-1, 0])).uv, spec.throat, spec.toe)
    halves = [
        area_of(np.vstack([[[0.0, nose]], edge.uv, inner]))
        for edge, (nose, _) in zip(edges, noses, strict=True)
    ]
    saw = area_of(np.asarray(shapely.union_all([halves[0], halves[-1]]).exterior.coords))
    edge, under = edges[0], edges[-1]
    nose_bevel = float(np.arccos(np.clip(noses[0][1] @ siding, -1.0, 1.0)))
    readings = (
        *edge_readings(edge, siding, side.name),
        Reading(
            at=(0.0, noses[0][0]),
            bevel=nose_bevel,
            towards=(0.0, -1.0),
            edge="nose",
            where="nose on the stem",
        ),
    )
    lines: list[Line] = [
        *half_lines(Kind.SAW, saw),
        *half_lines(Kind.FACE, halves[0]),
        *half_lines(Kind.OTHER, halves[-1]),
        *(line for half in halves[1:-1] for line in half_lines(Kind.LAMINATION, half)),
    ]
    gap, proud = _deck_departure(boat, top, spec.length, off, float(inner[0, 0]))
    places = register_places(shapely.intersection_all(halves), diameter=boat.design.register)
    register = tuple(Hole(at=(float(p[0]), float(p[1])), diameter=boat.design.register) for p in places)
    pattern = Pattern(
        name="breasthook",
        member="breasthook",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face="top face (moulded), seen from above",
        behind="under face, seen from below",
        behind_readings=(
            *edge_readings(under, -siding, side.name),
            Reading(
                at=(0.0, noses[-1][0]),
                bevel=float(np.pi - nose_bevel),
                towards=(0.0, -1.0),
                edge="nose",
                where="nose on the stem",
            ),
        ),
        behind_marks=(
            Mark(name="stem's side", at=(0.5 * boat.design.bow.sided, noses[-1][0]), towards=(0.0, -1.0)),
        ),
        sides=("STARBOARD", "PORT", "FORWARD"),
        half=True,
        lines=(
            *lines,
            Line(
                kind=Kind.CENTRE,
                points=np.array([[0.0, -10.0], [0.0, spec.length + 10.0]]),
                name="centreline",
            ),
        ),
        readings=readings,
        holes=(
            *register,
            Hole(at=(0.0, noses[0][0]), diameter=1.0, purpose="flip point"),
            Hole(at=(0.0, spec.length), diameter=1.0, purpose="flip point"),
        ),
        marks=(Mark(name="stem's side", at=(0.5 * boat.design.bow.sided, noses[0][0]), towards=(0.0, -1.0)),),
        spans=(
            Span(
                name="nose to toe",
                start=(0.0, noses[0][0]),
                end=(float(edge.uv[-1, 0]), float(edge.uv[-1, 1])),
            ),
        ),
        facts=(
            *wood_words(spec),
            f"Its top lies in a plane sloping {_slope_words(top)}",
            f"At its arms the deck's underside stands up to {gap:.1f} mm above it and {proud:.1f} mm below it: "
            "pack the one, plane the other",
            "Fits the clamps' inner faces" if off else "Fits the inside of planking",
            *hole_facts(register),
        ),
        plane=top,
        siding=1.0 if top.normal[2] < 0.0 else -1.0,
        edges=(
            FaceEdge(face="moulded face", strake=side.name, uv=edge.uv, bevel=edge.bevel(siding)),
            FaceEdge(face="other face", strake=side.name, uv=under.uv, bevel=under.bevel(siding)),
        ),
        grain=(1.0, 0.0),
    )
    return (redrawn(pattern, np.diag([1.0, -1.0])),)  # the plane's v runs aft; forward is drawn up


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


def _edge_of(trace: Trace, nose: float, length: float) -> Trace:
    """The faying edge from the stem's after face to the toe, from forward aft."""
    order = np.argsort(trace.uv[:, 1])
    run = Trace(uv=trace.uv[order], normal=trace.normal[order], r=trace.r[order])
    v, index = run.uv[:, 1], np.arange(len(run))
    if v[0] > nose or v[-1] < length:
        raise PatternsError("the side beside it does not reach from the stem to the toes; make it shorter")
    return run.between(float(np.interp(nose, v, index)), float(np.interp(length, v, index)))


def _inner(edge: FloatArray, throat: float, toe: float) -> FloatArray:
    """The inner edge from the toe's inner corner to the throat on the centreline; no arm is narrower than its toe.

    It leaves the toe parallel to the faying edge and crosses the centreline squarely.
    """
    end = edge[-1] - np.array([toe, 0.0])
    if end[0] <= 0.0:
        raise PatternsError("its toes take up its whole breadth; make the toe narrower or the piece longer")
    along = edge[-1] - edge[0]
    reach = float(end[0] - (end[1] - throat) * along[0] / along[1])
    least = float(end[1] - end[0] * along[1] / along[0])
    if throat >= edge[-1, 1] or reach <= 0.0:
        raise PatternsError(
            f"its throat is {throat:g} mm, but its arms leave room only from {max(least, 0.0):.0f} to "
            f"{edge[-1, 1]:.0f} mm; give it one between"
        )
    return conic(end, np.array([reach, throat]), np.array([0.0, throat]))


def _deck_departure(boat: Boat, plane: Plane, length: float, off: float, toe: float) -> tuple[float, float]:
    """How far the deck's underside stands above and below the plane over the arms, mm, at most.

    Args:
        toe: the half breadth at the toes' inner corner, mm.
    """
    gaps = [0.0]
    for x in plane.origin[0] + np.linspace(0.1, 1.0, 9) * length * plane.v[0]:
        corner = sheer_corner(boat.hull, station_plane(float(x)), deeper=off)
        deck = boat.hull.deck_underside(station_plane(float(x)))
        assert deck is not None  # the corner lies on it
        for y in np.linspace(min(toe, corner[1]), corner[1], 5):
            z = float(np.interp(y, deck.uv[:, 0], deck.uv[:, 1]))
            above = float(plane.height_over(np.array([x, y, z])))
            gaps.append(above if plane.normal[2] > 0.0 else -above)
    return max(gaps), -min(gaps)
