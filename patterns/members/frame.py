"""The built frame: a ring inside the planking, open at the top, its heads cut by the deck."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design import FrameSpec
from patterns.members.wood import (
    Piece,
    centre_line,
    flip_points,
    level_lines,
    line_marks,
    looking,
    register_holes,
    wood_words,
)
from patterns.pattern import Kind, Pattern, Reading, Span
from patterns.planes import Plane, station_plane
from patterns.polylines import crossings
from patterns.rings import Ring, build_ring, edge_readings, face_edges, free_runs, half_lines
from patterns.sections import Section, cut_hull
from patterns.shapes import outline_of
from patterns.timbers import Notch, keel_notch, laid_notch

__all__ = [
    "breadth_facts",
    "frame_faces",
    "notch_facts",
    "notches_in",
    "pieces",
    "ring_readings",
    "ring_spans",
]


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every frame in the design."""
    for spec in boat.design.frames:
        yield f'[[frame]] "{spec.name}"', partial(_frame, boat, spec)


def frame_faces(boat: Boat, spec: FrameSpec) -> tuple[Plane, Plane, float]:
    """The moulded face, the other face, and which way the siding runs (1 aft, -1 forward).

    Where the design does not say, the siding runs away from the station of greatest breadth, so that most
    bevels are under.
    """
    x = boat.distance(spec.at)
    if spec.siding_runs is None:
        sense = -1.0 if x < boat.hull.widest else 1.0
    else:
        sense = 1.0 if spec.siding_runs == "aft" else -1.0
    moulded = station_plane(x, rake=spec.rake)
    return moulded, moulded.moved(sense * spec.sided), sense


def notches_in(boat: Boat, section: Section) -> tuple[Notch, ...]:
    """The spaces of all timbers that cross a section."""
    found = []
    for timber in boat.design.timbers:
        if timber.kind == "keel":
            found.append(keel_notch(section, timber))
        else:
            notch = laid_notch(section, timber)
            if notch is not None:
                found.append(notch)
    return tuple(found)


def _frame(boat: Boat, spec: FrameSpec) -> tuple[Pattern, ...]:
    """One frame: both faces, saw line, bevels, notches."""
    moulded, other, sense = frame_faces(boat, spec)
    sections = cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)
    notches = notches_in(boat, sections[0]), notches_in(boat, sections[1])
    depth = dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.moulded_side)
    depth[boat.hull.strakes[0].name] = spec.moulded_bottom
    if len(sections[0].traces) == 1:  # forward of the chine's end the frame is all side
        depth[boat.hull.strakes[0].name] = spec.moulded_side
    ring = build_ring(sections, notches, depth)
    siding = sense * moulded.normal
    face, look, sides = looking(sense)
    name = f"frame {spec.name}"
    facts = [
        f"Moulded face: the {face} one, {boat.length_words(moulded.origin[0])} aft"
        + (f" at height 0, raked {np.degrees(spec.rake):g}°" if spec.rake else ""),
        *breadth_facts(boat, sections[0]),
        *notch_facts(boat, notches, ring),
    ]
    pattern = Pattern(
        name=name,
        member="frame",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face=f"{face} face (moulded), seen looking {look}",
        sides=sides,
        half=True,
        lines=(
            *half_lines(Kind.SAW, ring.saw),
            *half_lines(Kind.FACE, ring.faces[0]),
            *half_lines(Kind.OTHER, ring.faces[1]),
            centre_line(sections[0]),
            *level_lines(boat, ring.saw, moulded),
        ),
        readings=ring_readings(ring, notches[0], siding),
        holes=(*register_holes(boat, ring), *flip_points(sections[0])),
        marks=line_marks(sections[0], ring.saw),
        spans=ring_spans(ring, sections[0]),
        facts=(*wood_words(spec), *facts),
        plane=moulded,
        siding=sense,
        edges=(
            *face_edges(sections[0], "moulded face", siding),
            *face_edges(sections[1], "other face", siding),
        ),
        depth_left=ring.depth_left(),
    )
    return (pattern,)


def ring_readings(ring: Ring, notches: tuple[Notch, ...], siding: np.ndarray) -> tuple[Reading, ...]:
    """The bevels along every edge of the moulded face that is left between the notches, and under the deck."""
    section = ring.sections[0]
    readings = [
        reading
        for name, trace in section.traces.items()
        for run in free_runs(trace, notches)
        for reading in edge_readings(run, siding, name)
    ]
    # Under the deck only the part that is wood: outboard of the place where the void runs out through it.
    start = max((along for along, _ in crossings(section.deck.uv, outline_of(ring.void))), default=0.0)
    for run in free_runs(section.deck.between(start, len(section.deck) - 1.0), notches):
        readings += edge_readings(run, siding, "deck", outward=1.0)
    return tuple(readings)


def breadth_facts(boat: Boat, section: Section) -> list[str]:
    """The breadths across both halves, to prove the two halves against."""
    return [
        f"Across both halves at the {corner.name}: {boat.length_words(2.0 * corner.at[0])}"
        for corner in section.corners
    ]


def notch_facts(boat: Boat, notches: tuple[tuple[Notch, ...], tuple[Notch, ...]], ring: Ring) -> list[str]:
    """For every notch the two angles at which its timber crosses, and the depth of wood left over it."""
    left = ring.depth_left()
    facts = []
    for notch in notches[0]:
        ways = [
            f"{abs(angle):.1f}° {word[0] if angle > 0 else word[1]}"
            for angle, word in (
                (np.degrees(notch.in_plan), ("out", "in")),
                (np.degrees(notch.in_profile), ("up", "down")),
            )
            if abs(angle) >= 0.05
        ]
        crossing = f"runs {' and '.join(ways)} going aft" if ways else "crosses square"
        facts.append(
            f"Notch for the {notch.timber}: it {crossing}; {left[notch.timber]:.0f} mm of wood left over it"
        )
    return facts


def ring_spans(ring: Ring, section: Section) -> tuple[Span, ...]:
    """Long distances over the half: from the flip points to the sheer corner and across the chine."""
    low, high = (hole.at for hole in flip_points(section))
    sheer = section.corners[-1].at
    corner = (float(sheer[0]), float(sheer[1]))
    return (
        Span(name="lower flip point to sheer corner", start=low, end=corner),
        Span(name="upper flip point to sheer corner", start=high, end=corner),
    )
