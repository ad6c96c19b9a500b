"""The transom: its panel and the framing behind it, each at its own distance."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.members.frame import breadth_facts, notch_facts, notches_in, ring_readings, ring_spans
from patterns.members.wood import (
    Piece,
    centre_line,
    flip_points,
    level_lines,
    line_marks,
    looking,
    register_holes,
)
from patterns.pattern import Kind, Line, Pattern
from patterns.planes import Plane
from patterns.rings import Ring, build_ring, face_edges, half_lines
from patterns.sections import cut_hull
from patterns.shapes import area_of
from patterns.timbers import Notch

__all__ = ["pieces"]

FORWARD = -1.0  # a transom's table points lie on its after face; the wood runs forward from there


def pieces(boat: Boat) -> Iterator[Piece]:
    """The panel, and the framing if the design has one."""
    yield '[[end]] "stern", panel', partial(_panel, boat)
    if boat.design.stern.framing is not None:
        yield '[[end]] "stern", framing', partial(_framing, boat)


def _panel(boat: Boat) -> tuple[Pattern, ...]:
    spec = boat.design.stern
    after = boat.hull.transom
    inside = after.moved(FORWARD * spec.panel)
    panel_sections = cut_hull(boat.hull, after), cut_hull(boat.hull, inside)
    faces = area_of(panel_sections[0].outline()), area_of(panel_sections[1].outline())
    # The panel closes every notch, so it is one area on each face.
    panel = Ring(
        sections=panel_sections,
        notches=((), ()),
        void=area_of(np.array([[-2.0, -1e5], [-1.0, -1e5], [-1.0, -1.1e5]])),
        faces=faces,
        saw=area_of(np.asarray(faces[0].union(faces[1]).exterior.coords)),
    )
    pattern = _pattern(
        boat,
        panel,
        (),
        after,
        name="transom panel",
        stock=spec.stock,
        thickness=spec.panel,
        laminations=spec.laminations,
        facts=["Planking laps its edges; no timber passes through it"],
    )
    return (pattern,)


def _framing(boat: Boat) -> tuple[Pattern, ...]:
    spec = boat.design.stern
    assert spec.framing is not None
    assert spec.framing_moulded is not None
    inside = boat.hull.transom.moved(FORWARD * spec.panel)
    fore = inside.moved(FORWARD * spec.framing)
    sections = cut_hull(boat.hull, inside), cut_hull(boat.hull, fore)
    notches = notches_in(boat, sections[0]), notches_in(boat, sections[1])
    ring = build_ring(
        sections,
        notches,
        dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.framing_moulded),
        top=spec.framing_moulded,
        post=spec.centre_post,
    )
    pattern = _pattern(
        boat,
        ring,
        notches[0],
        inside,
        name="transom framing",
        stock=spec.framing_stock,
        thickness=spec.framing,
        laminations=1,
        facts=[
            "Its after face lies against the inside of the panel",
            *notch_facts(boat, notches, ring),
        ],
    )
    return (pattern,)


def _pattern(
    boat: Boat,
    ring: Ring,
    notches: tuple[Notch, ...],
    plane: Plane,
    *,
    name: str,
    stock: str,
    thickness: float,
    laminations: int,
    facts: list[str],
) -> Pattern:
    siding = FORWARD * plane.normal
    face, look, sides = looking(FORWARD)
    section = ring.sections[0]
    each = "" if laminations == 1 else f": {laminations} laminations of {thickness / laminations:g} mm"
    drawn: list[Line] = [
        *half_lines(Kind.SAW, ring.saw),
        *half_lines(Kind.FACE, ring.faces[0]),
        *half_lines(Kind.OTHER, ring.faces[1]),
        centre_line(section),
        *level_lines(boat, ring.saw, plane),
    ]
    return Pattern(
        name=name,
        member="transom",
        stock=stock,
        thickness=thickness,
        laminations=laminations,
        quantity="1",
        face=f"{face} face (moulded), seen looking {look}",
        sides=sides,
        half=True,
        lines=tuple(drawn),
        readings=ring_readings(ring, notches, siding),
        holes=(*register_holes(boat, ring), *flip_points(section)),
        marks=line_marks(section, ring.saw),
        spans=ring_spans(ring, section),
        facts=(
            f"{stock}, {thickness:g} mm thick{each}",
            f"Raked {np.degrees(plane.rake):.1f}°, top aft",
            *facts,
            *breadth_facts(boat, section),
        ),
        plane=plane,
        siding=FORWARD,
        edges=(
            *face_edges(section, "moulded face", siding),
            *face_edges(ring.sections[1], "other face", siding),
        ),
        depth_left=ring.depth_left() if notches else {},
    )
