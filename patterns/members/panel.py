"""Panels: flat pieces athwartships, level, or fore and aft: bulkheads, thwarts, the tops and fronts of seats."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from math import degrees
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import beside_frame
from patterns.design.kind import Table
from patterns.design.panel_models import OpeningSpec, PanelSpec
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError
from patterns.flat.shapes import ON_CENTRE, outline_of
from patterns.hull.planes import Plane
from patterns.hull.sections import cut_hull
from patterns.joinery.deck_timbers import faces_across
from patterns.joinery.flat_pieces import FLIP, bare_faces, fitted, xy
from patterns.joinery.limbers import Limber, limbers_beside, without_limbers
from patterns.joinery.panel_faces import (
    PanelFace,
    end_meets,
    ends_of,
    faces_along,
    opened,
    seats_of,
    within_keys,
)
from patterns.joinery.passages import passages
from patterns.joinery.wood import Wanted, looking, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.panel_rules import opening_rules, panel_bounds, panel_rules
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance
from patterns.wood.labels import Against, Trim
from patterns.wood.meeting import CRUMB, Joinery, Meeting, OneOf
from patterns.wood.piece import Face, Hand, Piece, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Region
from patterns.wood.section import section_region, to_the_centreline
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "panel_piece", "pieces"]

SQUARE = 0.05  # degrees; what is less is none


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every panel in the design."""
    for spec in boat.design.all(PanelSpec):
        make = partial(_made, boat, spec)
        yield f'panel "{spec.name}"', PieceMaker(boat=boat, make=make, words=WORDS)


def _made(boat: Boat, spec: PanelSpec) -> tuple[Piece, ...]:
    return (panel_piece(boat, spec),)


def panel_piece(boat: Boat, spec: PanelSpec) -> Piece:
    """One panel.

    Raises:
        PatternsError: it cannot be placed, nothing is left of it, or what is cut out leaves it in parts.
    """
    return _across(boat, spec) if spec.lies == "athwartships" else _along(boat, spec)


def _openings(boat: Boat, spec: PanelSpec) -> list[OpeningSpec]:
    return [opening for opening in boat.design.all(OpeningSpec) if opening.panel == spec.name]


def _in_one(wood: Region) -> Region:
    """Its wood, which must be in one.

    Raises:
        PatternsError: it is in parts, or nothing is left of it.
    """
    parts = wood.parts(least=CRUMB)
    if len(parts) != 1:
        raise PatternsError(
            f"its bounds, openings and notches leave {len(parts) or 'no'} parts of it; change them so that it is "
            "in one, or make it of several panels"
        )
    return parts[0]


def _across(boat: Boat, spec: PanelSpec) -> Piece:
    """One that lies athwartships: a bulkhead, or half of one on each side."""
    moulded, other, sense = faces_across(boat, spec)
    sections = cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)
    passing = passages(boat, spec.name, sections)
    limbers: tuple[Limber, ...] = ()
    if spec.limber_holes is not None:
        limbers = limbers_beside(sections, passing.notches, spec.limber_at, spec.limber_holes)
    bounds = within_keys(boat, spec, moulded)
    openings = opened(spec, _openings(boat, spec), moulded)
    woods = []
    for number, section in enumerate(sections):
        wood = section_region(section).both(*bounds) if bounds else section_region(section)
        wood = passing.cut(wood.minus(*openings) if openings else wood, number)
        woods.append(without_limbers(_in_one(wood), limbers))
    whole = min(float(wood.area.bounds[0]) for wood in woods) < ON_CENTRE
    if whole:
        woods = [to_the_centreline(wood) for wood in woods]
    beside = beside_frame(spec.at or "")
    face, _, _ = looking(sense)
    rake = moulded.rake if abs(moulded.rake) > 1e-9 else None
    stands = Fact("moulded-face", {"face": face, "aft": float(moulded.origin[0]), "rake": rake})
    bare = Piece(
        name=spec.name,
        member="panel",
        stock=stock_of(spec),
        hand=Hand.CENTRE if whole else Hand.PAIR,
        placement=OnFace(moulded, sense),
        faces=bare_faces(sections, (woods[0], woods[1])),
        flips=_flips(woods[0]) if whole else (),
        facts=(sided_fact(spec), stands, *(() if whole else (Fact("turn-over"),))),
        moulded="moulded" if beside is None else "against the frame",
        meetings=(*_on_frame(spec), *_under(spec)),
    )
    return fitted(boat, bare, sections, passing, limbers=limbers)


def _flips(wood: Region) -> tuple[float, float]:
    """Two points on the centreline about which its half is flipped, well apart."""
    points: Any = np.asarray(wood.area.exterior.coords)
    on = points[np.abs(points[:, 0]) < ON_CENTRE, 1]
    low, high = float(on.min()), float(on.max())
    return low, high if high - low > FLIP else low + FLIP


def _on_frame(spec: PanelSpec) -> tuple[Meeting, ...]:
    """How it lies against its frame."""
    beside = beside_frame(spec.at or "")
    if beside is None:
        return ()
    keys = (f'panel "{spec.name}", key at',)
    on = OneOf(f"frame {beside[1]}")
    return (Meeting(kind=Joinery.FACE, lands=spec.name, on=on, keys=keys, faces=(0,)),)


def _along(boat: Boat, spec: PanelSpec) -> Piece:
    """One that is level, or runs fore and aft."""
    planes, sense, found = faces_along(boat, spec)
    level = spec.lies == "level"
    start = (
        min(float(found[0].region.area.bounds[0]), 0.0) if level else float(found[0].region.area.bounds[0])
    )
    openings = [] if level else opened(spec, _openings(boat, spec), planes[0], start)
    woods = [_in_one(face.region.minus(*openings) if openings else face.region) for face in found]
    whole = level and spec.inner is None
    if whole:
        woods = [to_the_centreline(wood) for wood in woods]
    faces = [Face(region=wood, sources=face.sources) for wood, face in zip(woods, found, strict=True)]
    _, v0, _, v1 = woods[0].area.bounds
    return Piece(
        name=spec.name,
        member="panel",
        stock=stock_of(spec),
        hand=Hand.CENTRE if whole else Hand.PAIR,
        view=View.FROM_ABOVE if level else View.FROM_INBOARD,
        placement=OnFace(planes[0], sense),
        faces=(faces[0], faces[1]),
        centreline=(v0, v1) if whole else None,
        flips=(v0, v1) if whole else (),
        distances=(_corners(woods[0]),),
        facts=(sided_fact(spec), _lies(spec, planes[0].u)),
        grain=(0.0, 1.0) if level else (1.0, 0.0),
        meetings=tuple(_meetings(boat, spec, found, planes[0])),
    )


def _corners(wood: Region) -> Distance:
    """From one corner to the farthest other."""
    points = outline_of(wood.area)
    reach = np.hypot(*(points[:, None] - points[None]).T)
    first, second = np.unravel_index(int(reach.argmax()), reach.shape)
    ends = sorted((points[first], points[second]), key=lambda end: float(end @ np.array([1.0, 0.317])))
    return Distance(fact=Fact("corner-to-corner"), start=xy(ends[0]), end=xy(ends[1]))


def _lies(spec: PanelSpec, along: Any) -> Fact:
    if spec.lies == "level":
        return Fact("panel-level", {"height": spec.height})
    return Fact("runs", {"angle": float(np.arctan2(along[1], along[0]))})


def _meetings(boat: Boat, spec: PanelSpec, found: Sequence[PanelFace], plane: Plane) -> Iterator[Meeting]:
    """Its ends on the two pieces, and the frames and gussets that it is cut round."""
    keys = (f'panel "{spec.name}", key between',)
    for which, host in enumerate(ends_of(boat, spec)):
        label = Trim(("fore", "after")[which], host.whole)
        if end_meets(boat, spec, found[0], plane, which):
            yield Meeting(kind=Joinery.BUTT, lands=spec.name, on=host.mate, keys=keys, edges=(label,))
    crossed = [face.crossed for face in found]
    frames = {f"frame {frame.name}" for frame in boat.design.frames}
    for piece in dict.fromkeys(name for each in crossed for name in each):
        seats = seats_of(crossed, piece)
        on = OneOf(piece) if piece in frames else piece
        if seats:
            yield Meeting(
                kind=Joinery.EDGE, lands=spec.name, on=on, keys=(f'panel "{spec.name}"',), seats=seats
            )
    yield from _under(spec)


def _under(spec: PanelSpec) -> Iterator[Meeting]:
    """Its upper edge under a level panel."""
    if spec.under is not None:
        keys = (f'panel "{spec.name}", key under',)
        yield Meeting(
            kind=Joinery.EDGE, lands=spec.name, on=spec.under, keys=keys, edges=(Against(spec.under),)
        )


def _runs_words(v: Mapping[str, Any], _: Lengths) -> str:
    angle = degrees(v["angle"])
    if abs(angle) < SQUARE:
        return "Runs parallel to the centreline, upright"
    return f"Runs {abs(angle):.1f}° {'out' if angle > 0 else 'in'} going aft, upright"


WORDS: Mapping[str, Template] = {
    "runs": _runs_words,
    "panel-level": lambda v, lengths: f"Lies level, its upper face {lengths(v['height'])} above base",
    "moulded face from above": lambda _, __: "upper face (moulded), seen from above",
    "other face from above": lambda _, __: "under face, seen from below",
}


KIND = MemberKind(
    name="panel",
    order=35,
    pieces=pieces,
    stage=WorkStage.FRAMES,
    tables=(
        Table(name="panel", model=PanelSpec, group="deck", sawn="sided", bounds=panel_bounds),
        Table(name="opening", model=OpeningSpec, named=False),
    ),
    rules=(panel_rules, opening_rules),
)
