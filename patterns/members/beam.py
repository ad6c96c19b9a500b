"""Deck beams: whole, half from a carling to the side, or leaning; their tops are the deck's underside itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import parallel
from patterns.flat.shapes import area_of, largest
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section
from patterns.hull.spaces import cut_of
from patterns.joinery.clamp_faces import clamp_line, clamp_of
from patterns.joinery.deck_timbers import Beam, beam_called, carling_called, outboard_of
from patterns.joinery.deck_work import (
    above,
    below,
    both_halves,
    end_bevel,
    end_reading,
    lap_facts,
    lap_marks,
    lapped,
    readings_on,
    wood_left,
)
from patterns.joinery.laps import laps_of_beam
from patterns.joinery.ringed import notches_in
from patterns.joinery.rings import half_lines, section_area
from patterns.joinery.wood import Piece, hole_facts, looking, rake_words, wood_words
from patterns.pattern import Body, FaceEdge, Hole, Kind, Line, Pattern, Reading, Span
from patterns.wood.register import register_places

__all__ = ["pieces", "underside_on"]

GRID = 241  # places across at which the two faces' tops are compared
SET_LINE = 12.0  # mm above the underside at which the level line runs
PAST = 15.0  # mm by which it runs past the ends


def pieces(boat: Boat) -> Iterator[Piece]:
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
    carling = carling_called(boat, spec.from_carling)
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


def _bounds(beam: Beam, start: float) -> tuple[list[Any], list[FloatArray]]:
    """On each face the area between underside and top, and the underside's line."""
    spec = beam.spec
    areas, lines = [], []
    for section in beam.sections:
        width = float(section.deck.uv[-1, 0]) + 50.0
        under = (
            _level(section.plane, spec.bottom, width) if spec.bottom is not None else _underside(beam, start)
        )
        area = above(under)
        if spec.top is not None:
            area = shapely.intersection(area, below(_level(section.plane, spec.top, width)))
        areas.append(area)
        lines.append(under)
    return areas, lines


def _outer_end(boat: Boat, beam: Beam, face: int, under: FloatArray) -> tuple[Any, FloatArray | None]:
    """What bounds the outer end on one face: an area to keep within, and the end's line if it is straight."""
    spec, section = beam.spec, beam.sections[face]
    if spec.ends == "to the planking":
        keep: Any = section_area(section)
        for notch in notches_in(boat, section):
            keep = shapely.difference(keep, area_of(notch.corners))
        return keep, None
    depth = spec.end_depth or 0.0
    if spec.ends == "over the clamp":
        lines = [clamp_line(boat, cut.plane) for cut in beam.sections]
        bed = min(
            float(np.interp(line[-1, 0], *cut.deck.uv.T))
            for line, cut in zip(lines, beam.sections, strict=True)
        )
        sunk = shapely.difference(shapely.box(0.0, -5000.0, 20000.0, bed - depth), _inboard(lines[face]))
        return shapely.difference(section_area(section), sunk), None
    line = clamp_line(boat, section.plane, within=depth if spec.ends == "into the clamp" else 0.0)
    return _inboard(line), line


def _inboard(line: FloatArray) -> Any:
    """The area inboard of a line that runs up, (2, 2), carried on both ways."""
    way = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    low, high = line[0] - 3000.0 * way, line[1] + 3000.0 * way
    return Polygon(np.array([low, high, [-20000.0, high[1]], [-20000.0, low[1]]]))


def _faces(boat: Boat, beam: Beam) -> tuple[list[Any], list[FloatArray], list[FloatArray | None]]:
    """On each face the area before any lap is cut, the underside and the straight end line if there is one."""
    spec = beam.spec
    inner = _inner_face(boat, spec)
    start = 0.0 if inner is None else float(inner.origin[1])
    areas, unders = _bounds(beam, start)
    wood, ends = [], []
    for face, section in enumerate(beam.sections):
        keep, end = _outer_end(boat, beam, face, unders[face])
        area = shapely.intersection(shapely.intersection(section_area(section), areas[face]), keep)
        if inner is not None:
            area = shapely.intersection(area, cut_of(section.plane, (outboard_of(inner),)))
        area = largest(area)
        _reaches(spec, area, section, end)
        wood.append(area)
        ends.append(end)
    return wood, unders, ends


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
    """One beam.

    Raises:
        PatternsError: it does not reach its ends, or a notch cuts it in two.
    """
    beam = beam_called(boat, spec.name)
    laps = laps_of_beam(boat, beam)
    areas, unders, ends = _faces(boat, beam)
    faces = tuple(lapped(area, plane, spec.name, laps) for area, plane in zip(areas, beam.faces, strict=True))
    saw = largest(shapely.union_all(faces))
    left = wood_left(
        spec.name,
        laps,
        areas,
        beam.faces,
        [
            (LineString(under), LineString(section.deck.uv))
            for under, section in zip(unders, beam.sections, strict=True)
        ],
    )
    whole = not spec.from_carling
    siding = beam.sense * beam.faces[0].normal
    face, look, sides = looking(beam.sense)
    behind, look_back, _ = looking(-beam.sense)
    one = "" if whole else f" of the {sides[0].lower()} one"
    register = tuple(
        Hole(at=(float(p[0]), float(p[1])), diameter=boat.design.register)
        for p in register_places(shapely.intersection_all(faces), diameter=boat.design.register)
    )
    level = float(min(np.asarray(saw.exterior.coords)[:, 1])) + SET_LINE
    reach = float(saw.bounds[2])
    pattern = Pattern(
        name=spec.name,
        member="deck beam" if whole else "half beam",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1" if whole else "1 port + 1 starboard",
        face=f"{face} face (moulded){one}, seen looking {look}",
        behind=f"{behind} face{one}, seen looking {look_back}",
        sides=sides,
        half=whole,
        lines=(
            *_outlines(Kind.SAW, saw, half=whole),
            *_outlines(Kind.FACE, faces[0], half=whole),
            *_outlines(Kind.OTHER, faces[1], half=whole),
            *_centre(saw, whole=whole),
            Line(
                kind=Kind.REFERENCE,
                points=np.array(
                    [[max(saw.bounds[0] - PAST, 0.0 if whole else -1e9), level], [reach + PAST, level]]
                ),
                name="set line, level",
            ),
        ),
        readings=tuple(_readings(boat, beam, 0, faces[0], ends, siding)),
        behind_readings=tuple(_readings(boat, beam, 1, faces[1], ends, -siding)),
        holes=(*_flips(saw, whole=whole), *register),
        marks=tuple(lap_marks(spec.name, laps, beam.faces[0], areas[0])),
        behind_marks=tuple(lap_marks(spec.name, laps, beam.faces[1], areas[1])),
        spans=_spans(saw, faces[0], level, whole=whole),
        facts=tuple(_facts(boat, beam, areas, faces, left, register)),
        plane=beam.faces[0],
        siding=beam.sense,
        edges=tuple(
            FaceEdge(
                face=name,
                strake="deck",
                uv=section.deck.uv,
                bevel=section.deck.bevel(siding),
            )
            for name, section in zip(("moulded face", "other face"), beam.sections, strict=True)
        )
        if spec.top is None
        else (),
        body=Body(
            plane=beam.faces[0],
            depth=beam.sense * spec.sided,
            moulded=both_halves(faces[0]) if whole else faces[0],
            other=both_halves(faces[1]) if whole else faces[1],
            mirrored=not whole,
            by_design=_cut_clamp(boat, spec),
        ),
        grain=(1.0, 0.0),
        depth_left=left,
    )
    return (pattern,)


def _cut_clamp(boat: Boat, spec: BeamSpec) -> tuple[tuple[str, float, str], ...]:
    """The clamp where it is cut for the beam's ends, and how deep."""
    clamp = clamp_of(boat)
    if clamp is None or spec.end_depth is None:
        return ()
    return ((clamp.name, spec.end_depth, f"the clamp is cut {spec.end_depth:g} mm deep for its end"),)


def _outlines(kind: Kind, area: Polygon, *, half: bool) -> list[Line]:
    if half:
        return half_lines(kind, area)
    return [Line(kind=kind, points=np.asarray(area.exterior.coords)[:-1], closed=True)]


def _centre(saw: Polygon, *, whole: bool) -> list[Line]:
    if not whole:
        return []
    _, low, _, high = saw.bounds
    return [
        Line(
            kind=Kind.CENTRE,
            points=np.array([[0.0, low - PAST], [0.0, high + PAST]]),
            name="centreline",
        )
    ]


def _flips(saw: Polygon, *, whole: bool) -> list[Hole]:
    """The two points on the centreline that are pricked through, at the wood's top and its underside."""
    if not whole:
        return []
    return [Hole(at=(0.0, v), diameter=1.0, purpose="flip point") for v in _on_centreline(saw)]


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


def _spans(saw: Polygon, face: Polygon, level: float, *, whole: bool) -> tuple[Span, ...]:
    """Long distances: along the set line, and from the inner end to the outer upper corner."""
    points = np.asarray(face.exterior.coords)
    tip = points[int((points[:, 0] + 0.5 * points[:, 1]).argmax())]
    inner = points[points[:, 0] < points[:, 0].min() + 1e-6]
    start = inner[int(inner[:, 1].argmin())]
    end = (float(tip[0]), float(tip[1]))
    first = "centreline, underside" if whole else "inner end, underside"
    return (Span(name=f"{first} to outer end, top", start=(float(start[0]), float(start[1])), end=end),)


def _readings(
    boat: Boat, beam: Beam, face: int, wood: Polygon, ends: list[FloatArray | None], siding: FloatArray
) -> Iterator[Reading]:
    """The bevels of one face: deck, planking if it reaches there, straight end."""
    section = beam.sections[face]
    if beam.spec.top is None:
        yield from readings_on(section.deck, wood, siding, "deck", outward=1.0)
    if beam.spec.ends in ("to the planking", "over the clamp"):
        for name, trace in section.traces.items():
            yield from readings_on(trace, wood, siding, name, outward=-1.0)
    line, other = ends[face], ends[1 - face]
    if line is not None and other is not None:
        planes = beam.faces[face], beam.faces[1 - face]
        bevel = end_bevel(planes, (line, other), siding, np.array([0.0, 1.0, 0.0]))
        seen = np.asarray(shapely.intersection(wood.exterior.buffer(1e-6), LineString(_long(line))).bounds)
        here = np.array([[seen[0], seen[1]], [seen[2], seen[3]]])
        way = line[1] - line[0]
        if way[0] < 0.0:
            here[:, 0] = here[::-1, 0]
        yield end_reading(here, bevel, "clamp", np.array([1.0, 0.0]), where="end on the clamp")


def _long(line: FloatArray) -> FloatArray:
    way = line[1] - line[0]
    return np.array([line[0] - 40.0 * way, line[1] + 40.0 * way])


def _facts(
    boat: Boat,
    beam: Beam,
    areas: Sequence[Any],
    faces: Sequence[Any],
    left: dict[str, float],
    register: tuple[Hole, ...],
) -> Iterator[str]:
    spec = beam.spec
    yield from wood_words(spec)
    face, _, _ = looking(beam.sense)
    plane = beam.faces[0]
    x = boat.length_words(float(plane.origin[0]))
    yield f"Moulded face: the {face} one, {x} aft" + (
        f" at height 0; {rake_words(plane.rake)}" if abs(plane.rake) > 1e-9 else ""
    )
    if not spec.from_carling:
        across = [2.0 * float(area.bounds[2]) for area in faces]
        yield (
            f"Across both halves, end to end: {boat.length_words(across[0])} on this face, "
            f"{boat.length_words(across[1])} on the other; flipped, the set line must run straight through"
        )
    radius = boat.hull.deck.radius
    if spec.top is None:
        if not spec.from_carling:
            low, high = _on_centreline(areas[0])
            yield f"Depth on the centreline {high - low:.1f} mm on this face"
        if radius is not None:
            yield f"Crown of the deck: common mould, radius {radius:.0f} mm; its top is the deck's underside"
    yield f"Its ends lie {spec.ends}" + (f", {spec.end_depth:g} mm" if spec.end_depth is not None else "")
    yield from lap_facts(left)
    yield from hole_facts(register)
