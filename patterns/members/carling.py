"""Carlings: fore-and-aft timbers under the deck, let into the beams, their tops bevelled to the crown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from patterns.boat import Boat
from patterns.design.deck_models import CarlingSpec
from patterns.drawing.marks import mark_of
from patterns.flat.polylines import lengths
from patterns.flat.shapes import largest
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.spaces import cut_of, flipped
from patterns.joinery.deck_timbers import Beam, Carling, aft_of, carling_called
from patterns.joinery.deck_work import above, below, lap_notes, readings_on, wood_left
from patterns.joinery.laps import laps_of_carling
from patterns.joinery.wood import Piece, hole_facts, wood_words
from patterns.pattern import Body, FaceEdge, Hole, Kind, Line, Pattern, Reading, Span
from patterns.text.wood_facts import said
from patterns.wood.facts import Fact
from patterns.wood.labels import Free
from patterns.wood.meeting import cut_for
from patterns.wood.region import Region
from patterns.wood.register import register_places

__all__ = ["cut_ends", "end_words", "fore_and_aft_pattern", "pieces"]

SIDES = ("AFT", "FORWARD", "UP")


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every carling in the design."""
    for spec in boat.design.all(CarlingSpec):
        yield f'carling "{spec.name}"', partial(_carling, boat, spec)


def _carling(boat: Boat, spec: CarlingSpec) -> tuple[Pattern, ...]:
    """One carling.

    Raises:
        PatternsError: it cannot be placed, or a notch cuts it in two.
    """
    carling = carling_called(boat, spec.name)
    plane = carling.faces[0]
    angle = float(np.degrees(np.arctan2(plane.u[1], plane.u[0])))
    runs = (
        "Runs parallel to the centreline"
        if abs(angle) < 0.05
        else f"Runs {abs(angle):.1f}° {'out' if angle > 0 else 'in'} going aft"
    )
    return (
        fore_and_aft_pattern(
            boat,
            carling,
            member="carling",
            quantity="1 port + 1 starboard",
            face="inboard face (moulded) of the starboard one, seen from the centreline",
            behind="outboard face of the starboard one, seen from the side",
            mirrored=True,
            facts=(runs, "The port one is its mirror: its top is bevelled the other way"),
        ),
    )


def cut_ends(planes: Sequence[Plane], faces: tuple[Plane, Plane]) -> list[Polygon]:
    """The area between two faces, from the first forward to the second, on each of some planes."""
    between = (aft_of(faces[0]), flipped(aft_of(faces[1])))
    return [cut_of(plane, between) for plane in planes]


def end_words(plane: Plane, face: Plane) -> str:
    """How an end is cut: its angle to the length in the pattern, and its bevel from square."""
    way = np.array([face.normal @ plane.u, face.normal @ plane.v])
    lean = float(np.degrees(np.arctan2(-way[1], way[0])))
    off = float(np.degrees(np.arcsin(np.clip(face.normal @ plane.normal, -1.0, 1.0))))
    words = (
        "plumb"
        if abs(lean) < 0.05
        else f"{abs(lean):.1f}° from plumb, top {'aft' if lean > 0 else 'forward'}"
    )
    return words + ("" if abs(off) < 0.05 else f", {abs(off):.1f}° off square across")


def _ends(carling: Carling) -> tuple[Plane, Plane]:
    """The faces of beams at which it ends, forward and after."""
    first, last = carling.beams[0], carling.beams[-1]
    if carling.spec.ends == "butted":
        return first.after, last.fore
    return first.fore, last.after


def fore_and_aft_pattern(
    boat: Boat,
    carling: Carling,
    *,
    member: str,
    quantity: str,
    face: str,
    behind: str,
    mirrored: bool,
    facts: Sequence[str],
    by_design: tuple[tuple[str, float, str], ...] = (),
) -> Pattern:
    """The pattern of a timber that runs fore and aft under the deck.

    Raises:
        PatternsError: a notch cuts it in two.
    """
    spec, planes = carling.spec, carling.faces
    ends = _ends(carling)
    laps = laps_of_carling(boat, carling)
    areas = [
        largest(shapely.intersection(shapely.intersection(below(top.uv), above(carling.under)), stretch))
        for top, stretch in zip(carling.tops, cut_ends(planes, ends), strict=True)
    ]
    blanks = [Region.of(area, Free()) for area in areas]
    faces = tuple(
        largest(cut_for(spec.name, blank, plane, laps).area)
        for blank, plane in zip(blanks, planes, strict=True)
    )
    notes = [lap_notes(spec.name, laps, plane, blank) for plane, blank in zip(planes, blanks, strict=True)]
    saw = largest(shapely.union_all(faces))
    siding = -planes[0].normal
    edges = [(LineString(carling.under), LineString(top.uv)) for top in carling.tops]
    left = wood_left(spec.name, laps, areas, planes, edges)
    register = tuple(
        Hole(at=(float(p[0]), float(p[1])), diameter=boat.design.register)
        for p in _holes(shapely.intersection_all(faces), boat.design.register)
    )
    return Pattern(
        name=spec.name,
        member=member,
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity=quantity,
        face=face,
        behind=behind,
        sides=SIDES,
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=_ring(saw), closed=True),
            Line(kind=Kind.FACE, points=_ring(faces[0]), closed=True),
            Line(kind=Kind.OTHER, points=_ring(faces[1]), closed=True),
        ),
        readings=tuple(_readings(carling, 0, faces[0], ends, siding)),
        behind_readings=tuple(_readings(carling, 1, faces[1], ends, -siding)),
        holes=register,
        marks=tuple(mark_of(note, boat.length_words) for note in notes[0]),
        behind_marks=tuple(mark_of(note, boat.length_words) for note in notes[1]),
        spans=_spans(faces[0]),
        facts=(
            *wood_words(spec),
            *facts,
            *_length_facts(boat, carling, faces[0], ends),
            *((said(Fact("wood-left-at-laps", {"left": left}), boat.length_words),) if left else ()),
            *hole_facts(register),
        ),
        plane=planes[0],
        siding=-1.0,
        edges=tuple(
            FaceEdge(face=name, strake="deck", uv=top.uv, bevel=top.bevel(siding))
            for name, top in zip(("moulded face", "other face"), carling.tops, strict=True)
        ),
        body=Body(
            plane=planes[0],
            depth=-spec.sided,
            moulded=faces[0],
            other=faces[1],
            mirrored=mirrored,
            by_design=by_design,
        ),
        grain=(1.0, 0.0),
        depth_left=left,
    )


def _ring(area: Polygon) -> FloatArray:
    points: FloatArray = np.asarray(area.exterior.coords)[:-1]
    return points


def _holes(wood: Polygon, diameter: float) -> list[FloatArray]:
    """Register holes; a fore-and-aft plane's u begins at the first beam, so it is shifted clear of 0 first."""
    shift = float(wood.bounds[0]) - 2.0 * diameter
    moved = shapely.transform(wood, lambda points: points - np.array([shift, 0.0]))
    return [place + np.array([shift, 0.0]) for place in register_places(moved, diameter=diameter)]


def _spans(face: Polygon) -> tuple[Span, ...]:
    """From the forward end's top to the after end's top, and across to its underside."""
    points = _ring(face)
    low = points[int((points[:, 0] - 0.2 * points[:, 1]).argmin())]
    high = points[int((points[:, 0] + 0.2 * points[:, 1]).argmax())]
    return (
        Span(
            name="top, end to end", start=(float(low[0]), float(low[1])), end=(float(high[0]), float(high[1]))
        ),
    )


def _readings(
    carling: Carling, face: int, wood: Polygon, ends: tuple[Plane, Plane], siding: FloatArray
) -> Iterator[Reading]:
    """The bevels of one face: its top, and both ends."""
    yield from readings_on(carling.tops[face], wood, siding, "deck", outward=1.0)
    for end, half, name in ((ends[0], flipped(aft_of(ends[0])), "fore"), (ends[1], aft_of(ends[1]), "after")):
        line = _cut_line(wood, carling.faces[face], end)
        if line is None:
            continue
        bevel = float(np.arccos(np.clip(half.normal @ siding, -1.0, 1.0)))
        way = -1.0 if name == "fore" else 1.0
        middle = line.mean(axis=0)
        yield Reading(
            at=(float(middle[0]), float(middle[1])),
            bevel=bevel,
            towards=(way, 0.0),
            edge="end",
            where=f"{name} end",
        )


def _cut_line(wood: Polygon, plane: Plane, end: Plane) -> FloatArray | None:
    """Where the wood's outline lies on an end's face, (2, 2); None where it does not."""
    points = _ring(wood)
    on = points[np.abs(end.height_over(plane.space(points))) < 1e-5]
    if len(on) < 2:
        return None
    return on[[int(on[:, 1].argmin()), int(on[:, 1].argmax())]]


def _length_facts(boat: Boat, carling: Carling, face: Polygon, ends: tuple[Plane, Plane]) -> Iterator[str]:
    """Length, end cuts, where the beams stand along it, and how far its top is off straight."""
    plane, top = carling.faces[0], carling.tops[0].uv
    x0, _, x1, _ = face.bounds
    inside = top[(top[:, 0] > x0) & (top[:, 0] < x1)]
    chord = inside[-1] - inside[0]
    off = ((inside - inside[0]) @ np.array([-chord[1], chord[0]])) / np.hypot(*chord)
    yield (
        f"Length over all {boat.length_words(x1 - x0)}, {lengths(inside)[-1]:.0f} mm along its top, "
        f"{_off_straight(float(off.max()), float(-off.min()))}"
    )
    yield f"Fore end {end_words(plane, ends[0])}; after end {end_words(plane, ends[1])}"
    if len(carling.beams) > 2:
        places = [f"{beam.spec.name} {_along(plane, top, beam) - x0:.1f} mm" for beam in carling.beams[1:-1]]
        yield f"Forward faces of the beams it crosses, level from its fore end: {', '.join(places)}"


def _off_straight(above: float, below: float) -> str:
    """How far the top is off the straight line of its ends; what rounds to nothing is left out."""
    parts = [f"up to {mm:.1f} mm {way}" for mm, way in ((above, "above"), (below, "below")) if mm >= 0.05]
    return f"which is {' and '.join(parts)} the straight line of its ends" if parts else "which is straight"


def _along(plane: Plane, top: FloatArray, beam: Beam) -> float:
    """Where a beam's forward face crosses its top, u."""
    over = beam.fore.height_over(plane.space(top))
    return float(np.interp(0.0, over, top[:, 0]))
