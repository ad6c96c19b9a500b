"""Floor timbers: each ties the two sides together across the keel, against a frame or alone."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.design.kind import Table
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import conic, lengths
from patterns.flat.shapes import (
    area_of,
    band,
    both_halves,
    inside_points,
    largest,
)
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.flat_pieces import FLIP, bare_faces, fitted
from patterns.joinery.limbers import Limber, limbers_beside, without_limbers
from patterns.joinery.passages import Passages, passages
from patterns.joinery.rings import CRUMB, section_area
from patterns.joinery.wood import Wanted, looking, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.floor_keys import FloorSpec, floor_bounds, floor_rules
from patterns.pattern import Pattern
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.labels import Free
from patterns.wood.meeting import Joinery, Meeting, OneOf
from patterns.wood.piece import Hand, Piece
from patterns.wood.placement import OnFace
from patterns.wood.region import Region
from patterns.wood.section import section_region, to_the_centreline
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "floor_piece", "pieces"]

FAR = 1e4  # mm
OUT = 200.0  # mm by which its ends are run out through the planking before they are cut

Faces = tuple[Section, Section]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every floor timber in the design."""
    for spec in boat.design.all(FloorSpec):
        yield f'floor "{spec.name}"', partial(_floor, boat, spec)


def _stands(boat: Boat, spec: FloorSpec) -> tuple[Plane, float, Fact]:
    """Its moulded face, which way its wood runs from there (1 aft, -1 forward), and where it lies."""
    if spec.frame is not None:
        frame = next(frame for frame in boat.design.frames if frame.name == spec.frame)
        if frame.cant:
            raise PatternsError("the frame that it lies against is canted: its halves have no common face")
        moulded, other, sense = boat.frame_faces(frame)
        first = looking(sense)[0] == spec.face
        out = -sense if first else sense
        lies = Fact("lies-on-face", {"side": spec.face, "frame": frame.name})
        return (moulded if first else other), out, lies
    assert spec.at is not None
    x = boat.distance(spec.at)
    sense = 1.0 if spec.siding_runs == "aft" or (spec.siding_runs is None and x >= boat.hull.widest) else -1.0
    face, _, _ = looking(sense)
    return station_plane(x), sense, Fact("moulded-face", {"face": face, "aft": x})


def _floor(boat: Boat, spec: FloorSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, floor_piece(boat, spec)),)


def floor_piece(boat: Boat, spec: FloorSpec) -> Piece:
    """One floor timber.

    Raises:
        PatternsError: an arm is longer than what it lies on, or nothing is left between top and keel.
    """
    plane, sense, stands = _stands(boat, spec)
    sections = cut_hull(boat.hull, plane), cut_hull(boat.hull, plane.moved(sense * spec.sided))
    name = f"floor {spec.name}"
    passing = passages(boat, name, sections)
    limbers: tuple[Limber, ...] = ()
    if spec.limber_holes is not None:
        limbers = limbers_beside(sections, passing.notches, spec.limber_at, spec.limber_holes)
    top = max(float(section.apex[1]) for section in sections) + spec.moulded
    if spec.arm is not None:
        region = _along_bottom(sections[0], spec, spec.arm, top)
    else:
        region = _up_the_sides(sections, spec, top)
    faces = tuple(
        without_limbers(_wood(section, passing, face, region), limbers)
        for face, section in enumerate(sections)
    )
    bare = Piece(
        name=name,
        member="floor timber",
        stock=stock_of(spec),
        hand=Hand.CENTRE,
        placement=OnFace(plane, sense),
        faces=bare_faces(sections, (faces[0], faces[1]), scribed=_bolts(sections[0], spec, faces[0].area)),
        flips=(float(sections[0].apex[1]), top + FLIP),
        facts=(sided_fact(spec), stands),
        grain=(1.0, 0.0),
        moulded="moulded" if spec.frame is None else "against the frame",
        meetings=_on_frame(spec),
    )
    return fitted(boat, bare, sections, passing, limbers=limbers)


def _on_frame(spec: FloorSpec) -> tuple[Meeting, ...]:
    """How it lies against its frame."""
    if spec.frame is None:
        return ()
    keys = (f'floor "{spec.name}", key frame',)
    on = OneOf(f"frame {spec.frame}")
    return (Meeting(kind=Joinery.FACE, lands=f"floor {spec.name}", on=on, keys=keys, faces=(0,)),)


def _wood(section: Section, passing: Passages, face: int, region: Any) -> Region:
    wood = section_region(section).both(Region.of(region, Free()))
    parts = passing.cut(wood, face).parts(least=CRUMB)
    if len(parts) != 1 or parts[0].area.bounds[0] > 1e-3:
        raise PatternsError("the timbers' notches cut it in two; make it deeper over the keel")
    return to_the_centreline(parts[0])


def _end(section: Section, arm: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The end of an arm on the bottom's planking: the place, the heading outboard and the way in, (2,)."""
    name, trace = next(iter(section.traces.items()))
    run = lengths(trace.uv)
    if arm > run[-1]:
        raise PatternsError(
            f"its arm of {arm:g} mm is longer than the {name} is wide here, {run[-1]:.0f} mm; set up_to to a "
            "height instead"
        )
    at = np.array([np.interp(arm, run, trace.uv[:, k]) for k in (0, 1)])
    i = int(np.clip(np.searchsorted(run, arm), 1, len(run) - 1))
    heading = (trace.uv[i] - trace.uv[i - 1]) / np.hypot(*(trace.uv[i] - trace.uv[i - 1]))
    return at, heading, np.array([-heading[1], heading[0]])


def _along_bottom(section: Section, spec: FloorSpec, arm: float, top: float) -> Any:
    """The plane's part under its upper edge and within its arms' ends; the ends are square to the planking."""
    at, heading, inward = _end(section, arm)
    if spec.top == "level":
        if (top - at[1]) / inward[1] < 1.0:
            raise PatternsError(
                f"its level top meets the bottom's planking before its arms of {arm:g} mm end; make it deeper, "
                'its arms shorter or its top "curved"'
            )
        high = at + (top - at[1]) / inward[1] * inward
        edge = np.array([[-1.0, top], high])
    else:
        assert spec.toe is not None
        edge = _curve(top, at + spec.toe * inward, heading)
    outside = np.array([at - OUT * inward, [-1.0, float(section.apex[1]) - 2.0 * OUT]])
    return area_of(np.vstack([edge, outside]))


def _curve(top: float, toe: FloatArray, heading: FloatArray) -> FloatArray:
    """The upper edge from the centreline to the toe: level at the first and, where it can be, along the planking at
    the last."""
    start = np.array([0.0, top])
    turn = toe[0] - (toe[1] - top) / heading[1] * heading[0] if abs(heading[1]) > 1e-6 else -1.0
    if 0.05 * toe[0] < turn < 0.95 * toe[0]:
        curve = conic(start, np.array([turn, top]), toe)
    else:
        u = np.linspace(0.0, toe[0], 81)
        curve = np.stack([u, top + (toe[1] - top) * (u / toe[0]) ** 2], axis=-1)
    return np.vstack([[-1.0, top], curve])


def _up_the_sides(sections: Faces, spec: FloorSpec, top: float) -> Any:
    """The plane's part under the top and within the toe's depth of the planking, up to the arms' height."""
    assert spec.toe is not None
    assert spec.up_to is not None
    plane = sections[0].plane
    high = plane.up_at_height(spec.up_to)
    if high > min(float(section.corners[-1].at[1]) for section in sections):
        raise PatternsError("its arms run up past the sheer; give up_to a lesser height")
    void: Any = overlays.intersection(*(section_area(section) for section in sections))
    void = overlays.difference(void, shapely.box(-1.0, -FAR, FAR, top))
    for section in sections:
        for trace in section.long_traces.values():
            void = overlays.difference(void, band(trace.uv, spec.toe))
    if void.is_empty:
        raise PatternsError("its toes leave no inside between its arms; give them less")
    void = largest(void)
    if spec.inner_radius > 0.0:
        # Carried on upward, so that the rounding stays away from the arms' ends.
        tall = overlays.union(void, shapely.box(0.0, void.bounds[3] - 1.0, void.bounds[2], FAR))
        whole = both_halves(tall)
        void = whole.buffer(-spec.inner_radius, quad_segs=32).buffer(spec.inner_radius, quad_segs=32)
    return overlays.difference(shapely.box(-1.0, -FAR, FAR, high), void)


def _bolts(section: Section, spec: FloorSpec, wood: Any) -> list[Scribed]:
    """The lines of the bolts, square to the planking; on the centreline plumb."""
    found = []
    for out in spec.bolts:
        at, inward = section.apex, np.array([0.0, 1.0])
        if out > 0.0:
            at, _, inward = _end(section, out)
        line = np.array([at - OUT * inward, at + FAR * inward])
        found += [
            Scribed(fact=Fact("bolt", {"out": out}), points=part)
            for part in inside_points(wood.buffer(10.0), [line])[:1]
        ]
    return found


KIND = MemberKind(
    name="floor timber",
    order=30,
    pieces=pieces,
    stage=WorkStage.FLOORS,
    tables=(Table(name="floor", model=FloorSpec, sawn="sided", bounds=floor_bounds),),
    rules=(floor_rules,),
)
