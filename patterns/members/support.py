"""Supports: straight pieces fore and aft between the real faces of two beams or frames."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.design.deck_models import SupportSpec
from patterns.design.kind import Table
from patterns.errors import PatternsError
from patterns.flat.shapes import largest
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.deck_timbers import beam_called, fore_and_aft_plane
from patterns.joinery.deck_work import above, below
from patterns.joinery.wood import Piece, wood_words
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import deck_timber_bounds
from patterns.members.carling import cut_ends, end_words
from patterns.pattern import Body, Kind, Line, Pattern, Reading, Span
from patterns.text.bevels import rounded_departure

__all__ = ["KIND", "pieces"]


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every support in the design."""
    for spec in boat.design.all(SupportSpec):
        yield f'support "{spec.name}"', partial(_support, boat, spec)


def _faces_of(boat: Boat, name: str) -> tuple[Plane, Plane]:
    """The forward and the after face of a beam, or of a frame called as ``frame 8``."""
    frame = next((frame for frame in boat.design.frames if f"frame {frame.name}" == name), None)
    if frame is None:
        beam = beam_called(boat, name)
        return beam.fore, beam.after
    moulded, other, sense = boat.frame_faces(frame)
    return (moulded, other) if sense > 0 else (other, moulded)


def _on(face: Plane, half_breadth: float, height: float) -> FloatArray:
    """The place on a plane athwartships at a half-breadth and a height, (3,)."""
    return face.space(np.array([half_breadth, face.up_at_height(height)]))


def _support(boat: Boat, spec: SupportSpec) -> tuple[Pattern, ...]:
    """One support, drawn on its side.

    Raises:
        PatternsError: its two pieces do not stand one aft of the other.
    """
    faces = _faces_of(boat, spec.between[0])[1], _faces_of(boat, spec.between[1])[0]
    points = [_on(face, y, z) for face, y, z in zip(faces, spec.half_breadth, spec.heights, strict=True)]
    if points[1][0] <= points[0][0]:
        raise PatternsError(
            f"{spec.between[1]} does not stand aft of {spec.between[0]}; name its pieces from forward aft"
        )
    plane = fore_and_aft_plane(*points)
    planes = plane, plane.moved(-spec.sided)
    top = plane.flat(np.array(points))
    along = (top[1] - top[0]) / np.hypot(*(top[1] - top[0]))
    under = top + spec.moulded * np.array([along[1], -along[0]])
    areas = [
        largest(shapely.intersection(shapely.intersection(below(top), above(under)), stretch))
        for stretch in cut_ends(planes, faces)
    ]
    saw = largest(shapely.union_all(areas))
    siding = -plane.normal
    rings = [np.asarray(area.exterior.coords)[:-1] for area in (saw, *areas)]
    ends = (top[0] + under[0]) / 2.0, (top[1] + under[1]) / 2.0
    return (
        Pattern(
            name=spec.name,
            member="support",
            stock=spec.stock,
            thickness=spec.sided,
            laminations=spec.laminations,
            quantity="1 port + 1 starboard",
            face="inboard face (moulded) of the starboard one, seen from the centreline",
            sides=("AFT", "FORWARD", "UP"),
            half=False,
            lines=tuple(
                Line(kind=kind, points=points, closed=True)
                for kind, points in zip((Kind.SAW, Kind.FACE, Kind.OTHER), rings, strict=True)
            ),
            readings=tuple(_readings(spec, ends, faces, siding)),
            spans=(Span(name="top, end to end", start=_xy(top[0]), end=_xy(top[1])),),
            facts=(
                *wood_words(spec),
                f"Stands between {spec.between[0]} and {spec.between[1]}, its edges square",
                f"Fore end {end_words(plane, faces[0])}; after end {end_words(plane, faces[1])}",
            ),
            plane=plane,
            siding=-1.0,
            body=Body(plane=plane, depth=-spec.sided, moulded=areas[0], other=areas[1], mirrored=True),
            grain=_xy(along),
        ),
    )


def _readings(
    spec: SupportSpec, ends: tuple[FloatArray, FloatArray], faces: tuple[Plane, Plane], siding: FloatArray
) -> Iterator[Reading]:
    """The bevels of its two ends; none where they are square, as on a support parallel to the centreline."""
    for at, face, way, name in zip(ends, faces, (-1.0, 1.0), spec.between, strict=True):
        bevel = float(np.arccos(np.clip(way * (face.normal @ siding), -1.0, 1.0)))
        if rounded_departure(bevel) > 0.0:
            yield Reading(at=_xy(at), bevel=bevel, towards=(way, 0.0), edge="end", where=f"on {name}")


def _xy(point: FloatArray) -> tuple[float, float]:
    return float(point[0]), float(point[1])


KIND = MemberKind(
    name="support",
    order=120,
    pieces=pieces,
    tables=(Table(name="support", model=SupportSpec, group="deck", bounds=deck_timber_bounds),),
)
