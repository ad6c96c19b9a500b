"""Deck beams: whole, half from a carling to the side, or leaning; their tops are the deck's underside itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, beside_frame
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import parallel
from patterns.flat.shapes import largest
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section
from patterns.hull.spaces import cut_of
from patterns.joinery.clamp_faces import clamp_line, needed_clamp
from patterns.joinery.deck_timbers import Beam, beam_called, outboard_of
from patterns.joinery.deck_work import above, below, straight_end
from patterns.joinery.fore_and_aft import lengthwise_called
from patterns.joinery.let_in import let_in
from patterns.joinery.passages import NONE, from_above, passages
from patterns.joinery.ringed import notch_notes
from patterns.joinery.wood import Wanted, looking, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import BEAM
from patterns.pattern import Pattern
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Scribed
from patterns.wood.labels import Against, Deck, Free, Label, Level, Planking
from patterns.wood.meeting import CRUMB, Joinery, Loss, Meeting, OneOf, Slack, without
from patterns.wood.piece import Face, Hand, Piece
from patterns.wood.placement import OnFace
from patterns.wood.region import Area, Region, largest_of
from patterns.wood.section import section_region, sources_of
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "beam_piece", "pieces", "underside_on"]

GRID = 241  # places across at which the two faces' tops are compared
SET_LINE = 12.0  # mm above the underside at which the level line runs
PAST = 15.0  # mm by which it runs past the ends
RUN_ON = 5.0  # mm by which the centreline of a beam is longer at each end than that of other pieces
WITHIN = 4.0  # mm from the edges of the board to a flip point

EndLines: TypeAlias = tuple[FloatArray, FloatArray]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every beam in the design."""
    for spec in boat.design.all(BeamSpec):
        yield f'beam "{spec.name}"', partial(_beam, boat, spec)


def _lower_top(beam: Beam) -> FloatArray:
    """The lower of the two faces' deck undersides at each place across, (n, 2)."""
    traces = [section.deck.uv for section in beam.sections]
    u = np.linspace(0.0, min(float(uv[-1, 0]) for uv in traces), GRID)
    return np.stack([u, np.min([np.interp(u, *uv.T) for uv in traces], axis=0)], axis=-1)


def _underside(beam: Beam, start: float) -> FloatArray:
    """The underside, square to the faces, (n, 2), from the piece's inner end outboard.

    Args:
        start: the half-breadth at the inner end, mm; 0 for a whole beam.
    """
    spec = beam.spec
    assert spec.moulded is not None
    top = _lower_top(beam)
    if spec.underside == "parallel to the crown":
        whole = np.vstack(
            [top[:0:-1] * [-1.0, 1.0], top]
        )  # both sides, so that it is level on the centreline
        line = parallel(whole, -spec.moulded)
        return line[line[:, 0] >= -1.0]
    if start <= 0.0:
        height = float(top[0, 1]) - spec.moulded
        return np.array([[0.0, height], [float(top[-1, 0]), height]])
    top = top[top[:, 0] >= start]
    slope = float((top[-1, 1] - top[0, 1]) / (top[-1, 0] - top[0, 0]))
    low = float((top[:, 1] - slope * top[:, 0]).min()) - spec.moulded * float(np.hypot(1.0, slope))
    return np.stack([top[[0, -1], 0], low + slope * top[[0, -1], 0]], axis=-1)


def _level(plane: Plane, height: float, width: float) -> FloatArray:
    """A level line on a face, from the centreline out."""
    v = plane.up_at_height(height)
    return np.array([[0.0, v], [width, v]])


def _inner_face(boat: Boat, spec: BeamSpec) -> Plane | None:
    """The carling's face at which a half beam ends; None for a whole one."""
    if not spec.from_carling:
        return None
    carling = lengthwise_called(boat, spec.from_carling)
    return carling.faces[1 if spec.from_end == "butted" else 0]


def underside_on(boat: Boat, beam: Beam, plane: Plane) -> FloatArray:
    """A beam's underside on one of its faces or on a plane between them, (n, 2), from its inner end outboard.

    Raises:
        PatternsError: its carling cannot be placed.
    """
    if beam.spec.bottom is not None:
        return _level(plane, beam.spec.bottom, float(beam.sections[0].deck.uv[-1, 0]))
    inner = _inner_face(boat, beam.spec)
    return _underside(beam, 0.0 if inner is None else float(inner.origin[1]))


def _bounds(beam: Beam, start: float) -> tuple[list[Region], list[FloatArray]]:
    """On each face the area between underside and top, and the underside's line."""
    spec = beam.spec
    areas, lines = [], []
    for section in beam.sections:
        width = float(section.deck.uv[-1, 0]) + 50.0
        under = (
            _level(section.plane, spec.bottom, width) if spec.bottom is not None else _underside(beam, start)
        )
        area = Region.of(above(under), Free())
        if spec.top is not None:
            area = area.both(Region.of(below(_level(section.plane, spec.top, width)), Level()))
        areas.append(area)
        lines.append(under)
    return areas, lines


def _end_lines(boat: Boat, beam: Beam) -> EndLines | None:
    """The straight lines of an end at the clamp on the two faces; None where it runs to the planking."""
    spec = beam.spec
    if spec.ends not in ("at the clamp", "into the clamp"):
        return None
    deep = spec.end_depth or 0.0
    within = deep if spec.ends == "into the clamp" else 0.0
    first, second = (clamp_line(boat, section.plane, within=within) for section in beam.sections)
    return first, second


def _outer_end(boat: Boat, beam: Beam, lines: EndLines | None) -> tuple[Meeting, ...]:
    """What an outer end lands on, and is cut by: the timbers that pass it, or the clamp.

    Args:
        lines: those of a straight end on the two faces.
    Raises:
        PatternsError: there is no clamp, or a timber cannot be laid.
    """
    spec, name = beam.spec, beam.spec.name
    if spec.ends == "to the planking":
        return passages(boat, name, beam.sections).meetings
    clamp, deep = needed_clamp(boat), spec.end_depth
    lost = (
        [_sunk(boat, beam, face) for face in (0, 1)] if lines is None else [_outboard(line) for line in lines]
    )
    slack = None if deep is None else Slack(deep=deep, why=f"the clamp is cut {deep:g} mm deep for its end")
    end = Meeting(
        kind=Joinery.BUTT if deep is None else Joinery.HOUSING,
        lands=name,
        on=clamp.name,
        keys=(f'beam "{name}", key ends',),
        edges=(Against(clamp.name),),
        cuts=(Loss(piece=name, against=clamp.name, areas=tuple(lost)),),
        slack=slack,
    )
    return (end,)


def _sunk(boat: Boat, beam: Beam, face: int) -> Area:
    """What an end over the clamp loses of one face: all outboard of the clamp's face and below the bed in it."""
    lines = [clamp_line(boat, section.plane) for section in beam.sections]
    bed = min(
        float(np.interp(line[-1, 0], *section.deck.uv.T))
        for line, section in zip(lines, beam.sections, strict=True)
    )
    low = shapely.box(0.0, -5000.0, 20000.0, bed - (beam.spec.end_depth or 0.0))
    area: Area = overlays.intersection(low, _outboard(lines[face]))
    return area


def _outboard(line: FloatArray) -> Polygon:
    """The area outboard of a line that runs up, (2, 2), carried on both ways."""
    way = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    low, high = line[0] - 3000.0 * way, line[1] + 3000.0 * way
    return Polygon(np.array([low, [20000.0, low[1]], [20000.0, high[1]], high]))


def _blanks(boat: Boat, beam: Beam, ends: Sequence[Meeting], lines: EndLines | None) -> list[Region]:
    """On each face the wood before any lap is cut.

    Args:
        ends: what the outer end is cut by.
        lines: those of a straight end on the two faces.
    """
    spec = beam.spec
    inner = _inner_face(boat, spec)
    start = 0.0 if inner is None else float(inner.origin[1])
    bounds, _ = _bounds(beam, start)
    wood = []
    for face, section in enumerate(beam.sections):
        region = without(section_region(section).both(bounds[face]), spec.name, face, ends)
        if inner is not None:
            # Half lapped it lies over its carling, and its end on nothing.
            end_on = Against(str(spec.from_carling)) if spec.from_end == "butted" else Free()
            beside = Region.of(cut_of(section.plane, (outboard_of(inner),)), end_on)
            region = region.both(beside)
        region = largest_of(region)
        _reaches(spec, region.area, section, None if lines is None else lines[face])
        wood.append(region)
    return wood


def _in_one(wood: Region) -> Region:
    """Its wood, which a notch must not part.

    Raises:
        PatternsError: one does.
    """
    parts = wood.parts(least=CRUMB)
    if len(parts) != 1:
        raise PatternsError(
            "a deck batten's notch cuts it in two; make moulded more, or the batten's off less"
        )
    return parts[0]


def _reaches(spec: BeamSpec, area: Polygon, section: Section, end: FloatArray | None) -> None:
    """See that a straight underside does not run out through the crown short of the end."""
    wanted = float(end[:, 0].min()) if end is not None else float(section.deck.uv[-1, 0]) - 60.0
    reach = float(area.bounds[2])
    if reach < wanted - 1.0:
        raise PatternsError(
            f"its underside runs out through the deck {wanted - reach:.0f} mm short of its end; make moulded "
            'more, or underside = "parallel to the crown"'
        )


def _beam(boat: Boat, spec: BeamSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, beam_piece(boat, spec), WORDS),)


def beam_piece(boat: Boat, spec: BeamSpec) -> Piece:
    """One beam.

    Raises:
        PatternsError: it does not reach its ends, or a notch cuts it in two.
    """
    beam = beam_called(boat, spec.name)
    lines = _end_lines(boat, beam)
    ends = _outer_end(boat, beam, lines)
    blanks = _blanks(boat, beam, ends, lines)
    passing = NONE
    if spec.ends != "to the planking":  # there everything that passes is cut for already
        passing = from_above(boat, spec.name, beam.sections, blanks)
        blanks = [_in_one(passing.cut(blank, face)) for face, blank in enumerate(blanks)]
    faces = [
        Face(
            region=blank,
            sources=_sources(boat, beam, number, lines),
        )
        for number, blank in enumerate(blanks)
    ]
    saw = largest(overlays.union(*(face.region.area for face in faces)))
    whole = not spec.from_carling
    notes = notch_notes(passing.notches[0])
    moulded = replace(faces[0], notes=tuple(notes), scribed=(_set_line(saw, whole=whole),))
    bare = Piece(
        name=spec.name,
        member="deck beam" if whole else "half beam",
        stock=stock_of(spec),
        hand=Hand.CENTRE if whole else Hand.PAIR,
        placement=OnFace(beam.faces[0], beam.sense),
        faces=(moulded, faces[1]),
        centreline=(float(saw.bounds[1]) - RUN_ON, float(saw.bounds[3]) + RUN_ON) if whole else None,
        flips=_flips(saw) if whole else (),
        meetings=(*ends, *passing.of_piece(spec.name, left_to=(Free,)), *_beside(spec)),
        distances=(_distance(faces[0].region.area, whole=whole),),
        facts=tuple(_facts(boat, beam, blanks, faces)),
        grain=(1.0, 0.0),
        crown=_crown(boat, beam),
    )
    return let_in(boat, bare)


def _crown(boat: Boat, beam: Beam) -> float:
    """The radius of the common mould by which a whole beam's top is sawn, mm; 0 where another line is its top."""
    spec, radius = beam.spec, boat.hull.deck.radius
    by_mould = spec.print == "by the crown mould" and spec.top is None and not spec.from_carling
    return radius if by_mould and radius is not None and abs(beam.faces[0].rake) < 1e-9 else 0.0


def _set_line(saw: Polygon, *, whole: bool) -> Scribed:
    """A level line just over the underside, by which the two halves are set to each other."""
    level = float(saw.bounds[1]) + SET_LINE
    first = max(float(saw.bounds[0]) - PAST, 0.0 if whole else -1e9)
    return Scribed(
        fact=Fact("set-line"), points=np.array([[first, level], [float(saw.bounds[2]) + PAST, level]])
    )


def _sources(boat: Boat, beam: Beam, face: int, lines: EndLines | None) -> dict[Label, Trace]:
    """What one face's bevelled edges are cut of: deck, planking if it reaches there, straight end."""
    spec, found = beam.spec, sources_of(beam.sections[face])
    kept: dict[Label, Trace] = {}
    if spec.top is None:
        kept[Deck()] = found[Deck()]
    if spec.ends in ("to the planking", "over the clamp"):
        kept |= {label: trace for label, trace in found.items() if isinstance(label, Planking)}
    if lines is not None:
        planes = beam.faces[face], beam.faces[1 - face]
        end = straight_end(planes, (lines[face], lines[1 - face]), np.array([0.0, 1.0, 0.0]))
        kept[Against(needed_clamp(boat).name)] = end
    return kept


def _beside(spec: BeamSpec) -> Iterator[Meeting]:
    """How it lies on a frame's face."""
    beside = beside_frame(spec.at)
    if beside is not None:
        yield Meeting(
            kind=Joinery.FACE,
            lands=spec.name,
            on=OneOf(f"frame {beside[1]}"),
            keys=(f'beam "{spec.name}", key at',),
            faces=(0,),
        )


def _flips(saw: Polygon) -> tuple[float, float]:
    """Two flip points on the centreline, v, as far apart as the board that it is sawn from allows.

    A beam is shallow there, and more so under a notch; its board is as deep as the whole crown.
    """
    return float(saw.bounds[1]) + WITHIN, float(saw.bounds[3]) - WITHIN


def _on_centreline(half: Polygon) -> tuple[float, float]:
    """The lowest and the highest point of a half on its centreline, v.

    Raises:
        PatternsError: there is none.
    """
    v = np.asarray(half.exterior.coords)
    v = v[np.abs(v[:, 0]) < 1e-6][:, 1]
    if not len(v):
        raise PatternsError(
            "a notch leaves no wood of it on the centreline; make it deeper, or the notch less"
        )
    return float(v.min()), float(v.max())


def _distance(face: Polygon, *, whole: bool) -> Distance:
    """From the inner end to the outer upper corner."""
    points = np.asarray(face.exterior.coords)
    tip = points[int((points[:, 0] + 0.5 * points[:, 1]).argmax())]
    inner = points[points[:, 0] < points[:, 0].min() + 1e-6]
    start = inner[int(inner[:, 1].argmin())]
    return Distance(
        fact=Fact("underside-to-end", {"from": "centreline" if whole else "inner end"}),
        start=(float(start[0]), float(start[1])),
        end=(float(tip[0]), float(tip[1])),
    )


def _facts(boat: Boat, beam: Beam, blanks: Sequence[Region], faces: Sequence[Face]) -> Iterator[Fact]:
    spec, plane = beam.spec, beam.faces[0]
    yield sided_fact(spec)
    face, _, _ = looking(beam.sense)
    rake = plane.rake if abs(plane.rake) > 1e-9 else None
    yield Fact("moulded-face", {"face": face, "aft": float(plane.origin[0]), "rake": rake})
    if not spec.from_carling:
        across = [2.0 * float(each.region.area.bounds[2]) for each in faces]
        yield Fact("across-both-halves", {"this": across[0], "other": across[1]})
    if spec.top is None:
        if not spec.from_carling:
            low, high = _on_centreline(blanks[0].area)
            yield Fact("depth-on-centreline", {"depth": high - low})
        if boat.hull.deck.radius is not None:
            yield Fact("common-mould", {"radius": boat.hull.deck.radius})
    yield Fact("ends-lie", {"where": spec.ends, "depth": spec.end_depth})


WORDS: Mapping[str, Template] = {
    "across-both-halves": lambda v, lengths: (
        f"Across both halves, end to end: {lengths(v['this'])} on this face, "
        f"{lengths(v['other'])} on the other; flipped, the set line must run straight through"
    ),
    "depth-on-centreline": lambda v, _: f"Depth on the centreline {v['depth']:.1f} mm on this face",
    "common-mould": lambda v, _: (
        f"Crown of the deck: common mould, radius {v['radius']:.0f} mm; its top is the deck's underside"
    ),
    "ends-lie": lambda v, _: (
        f"Its ends lie {v['where']}" + (f", {v['depth']:g} mm" if v["depth"] is not None else "")
    ),
    "one-of-a-pair": lambda v, _: f" of the {v['side']} one",
    "set-line": lambda _, __: "set line, level",
    "underside-to-end": lambda v, _: f"{v['from']}, underside to outer end, top",
}


KIND = MemberKind.made(BEAM, pieces, stage=WorkStage.DECK)
