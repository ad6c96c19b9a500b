"""A piece as the record of its drawing: outlines, bevels, marks and words, all derived from the piece."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from patterns.boat import Boat
from patterns.drawing.hands import quantity_of
from patterns.drawing.marks import line_of, mark_of, span_of
from patterns.flat.shapes import HAIR
from patterns.hull.curved import stretch_of
from patterns.joinery.rings import edge_readings
from patterns.joinery.wood import PAST, looking
from patterns.pattern import FaceEdge, Hole, Kind, Line, Pattern, Reading
from patterns.text.wood_facts import Template, said
from patterns.wood.facts import Fact
from patterns.wood.labels import Against, Centre, Deck, Label, Planking, Trim
from patterns.wood.piece import EdgeRun, Papers, Piece, Role, View
from patterns.wood.region import Region

__all__ = ["pattern_of"]


def pattern_of(boat: Boat, piece: Piece, words: Mapping[str, Template] | None = None) -> Pattern:
    """The record of a piece's drawing.

    Args:
        words: templates for the kinds of fact that are the member's own.
    """
    lengths, sense = boat.length_words, piece.on.sense
    face, behind, sides = _views(piece, lambda fact: said(fact, lengths, words))
    each = piece.papers is Papers.EACH_FACE
    register = piece.register_holes(boat.design.register) if each else ()
    left = piece.wood_left()
    bodies = piece.solid() if piece.role is Role.PIECE else ()
    edges = list(piece.edges(0)), list(piece.edges(1))
    faces = piece.faces
    back = piece.on.face.moved(sense * piece.stock.thickness)
    return Pattern(
        name=piece.name,
        member=piece.member,
        stock=piece.stock.wood,
        thickness=piece.stock.thickness,
        laminations=piece.stock.laminations,
        quantity=quantity_of(piece),
        face=face,
        sides=sides,
        half=piece.half,
        behind=behind,
        behind_readings=tuple(_readings(edges[1])) if each else (),
        behind_marks=tuple(mark_of(note, lengths, words) for note in faces[1].notes) if each else (),
        behind_levels=tuple(line_of(line, lengths, words) for line in faces[1].scribed) if each else (),
        behind_stretch=stretch_of(back),
        lines=(
            *outlines(Kind.SAW, piece.saw(), half=piece.half),
            *_face_lines(piece),
            *(replace(line_of(line, lengths, words), kind=Kind.JOINT) for line in faces[0].joints),
            *(replace(line_of(line, lengths, words), kind=Kind.LANDING) for line in faces[0].landings),
            *_centreline(piece),
            *(line_of(line, lengths, words) for line in faces[0].scribed),
        ),
        readings=tuple(_readings(edges[0])),
        holes=(*register, *piece.holes, *_flip_points(piece)),
        marks=tuple(mark_of(note, lengths, words) for note in faces[0].notes),
        spans=tuple(span_of(distance, lengths, words) for distance in piece.distances),
        facts=tuple(said(fact, lengths, words) for fact in (*piece.facts, *_derived(piece, left, register))),
        plane=piece.on.face,
        siding=sense,
        edges=(*_face_edges("moulded face", edges[0]), *_face_edges("other face", edges[1])),
        body=bodies[0] if bodies else None,
        slabs=bodies[1:],
        grain=piece.grain,
        on_edge=piece.on_edge,
        depth_left={} if piece.role is Role.LAYOUT else left,
    )


def _views(piece: Piece, in_words: Callable[[Fact], str]) -> tuple[str, str, tuple[str, str, str]]:
    """The words for the two faces, and for the drawing's right, left and top."""
    if piece.view is not View.ATHWARTSHIPS:
        faces = (in_words(Fact(f"{face} {piece.view.value}")) for face in ("moulded face", "other face"))
        return next(faces), next(faces), ("AFT", "FORWARD", "UP")
    face, look, sides = looking(piece.on.sense)
    behind, look_back, _ = looking(-piece.on.sense)
    hand = "" if piece.half else in_words(Fact("one-of-a-pair", {"side": sides[0].lower()}))
    return (
        f"{face} face ({piece.moulded}){hand}, seen looking {look}",
        f"{behind} face{hand}, seen looking {look_back}" if piece.papers is Papers.EACH_FACE else "",
        sides,
    )


def outlines(kind: Kind, region: Region, *, half: bool) -> list[Line]:
    """A region's outlines; of a half without its edge on the centreline, where it meets its other half."""
    left_out = (Centre,) if half else ()
    return [
        Line(kind=kind, points=stretch.points, closed=stretch.closed)
        for stretch in region.outlines(*left_out)
        if stretch.length > HAIR
    ]


def _face_lines(piece: Piece) -> Iterator[Line]:
    """The edges of both faces, but on what is marked by its outline."""
    if piece.papers is not Papers.OUTLINE:
        for kind, face in zip((Kind.FACE, Kind.OTHER), piece.faces, strict=True):
            yield from outlines(kind, face.region, half=piece.half)


def _derived(piece: Piece, left: Mapping[str, float], register: Sequence[Hole]) -> Iterator[Fact]:
    """The facts that follow from the piece."""
    for lap, kind in ((False, "wood-left-at-notches"), (True, "wood-left-at-laps")):
        here = {cut.piece: left[cut.piece] for cut in piece.let_in if cut.lap is lap and cut.piece in left}
        if here:
            one_face = () if lap or piece.steps else _on_one_face(piece, here)
            yield Fact(kind, {"left": here, "one_face": one_face})
    if piece.papers is Papers.EACH_FACE and not register:
        yield Fact("no-register-holes")


def _on_one_face(piece: Piece, names: Iterable[str]) -> tuple[str, ...]:
    """The pieces for which only one of the two faces is cut."""
    first, second = (face.region.labels for face in piece.faces)
    return tuple(name for name in names if (Against(name) in first) != (Against(name) in second))


def _centreline(piece: Piece) -> Iterator[Line]:
    if piece.centreline is None:
        return
    centre, (low, high) = piece.on.face.centre, piece.centreline
    ends = np.array([[centre, low - PAST], [centre, high + PAST]])
    yield Line(kind=Kind.CENTRE, points=ends, name="centreline")


def _flip_points(piece: Piece) -> tuple[Hole, ...]:
    face = piece.on.face
    return tuple(Hole(at=(face.centre, v), diameter=1.0, purpose="flip point") for v in piece.flips)


def _edge_name(label: Label) -> str:
    return label.strake if isinstance(label, Planking) else "deck"


def _readings(edges: Sequence[EdgeRun]) -> Iterator[Reading]:
    for edge in edges:
        if isinstance(edge.label, Against):
            yield _end_reading(edge, edge.label.piece, f"end on the {edge.label.piece}")
            continue
        if isinstance(edge.label, Trim):
            way = -1.0 if edge.label.end == "fore" else 1.0
            yield replace(_end_reading(edge, "end", f"{edge.label.end} end"), towards=(way, 0.0))
            continue
        if isinstance(edge.label, Centre):
            yield replace(_end_reading(edge, "heel", "heel, on the centreline"), towards=(-1.0, 0.0))
            continue
        outward = (
            1.0 if isinstance(edge.label, Deck) else -1.0
        )  # the deck's trace runs outboard, wood below it
        yield from edge_readings(edge.run, edge.siding, _edge_name(edge.label), outward=outward)


def _end_reading(edge: EdgeRun, name: str, where: str) -> Reading:
    """The one reading of a straight end on the outboard side, at its middle."""
    first, last = edge.run.uv[[0, -1]]
    middle, along = 0.5 * (first + last), (last - first) / np.hypot(*(last - first))
    out = np.array([along[1], -along[0]])
    out = out if out[0] > 0.0 else -out
    return Reading(
        at=(float(middle[0]), float(middle[1])),
        bevel=float(edge.bevel[0]),
        towards=(float(out[0]), float(out[1])),
        edge=name,
        where=where,
    )


def _face_edges(face: str, edges: Sequence[EdgeRun]) -> Iterator[FaceEdge]:
    """The hull's edges on one face, all bevels of both faces read from the moulded one."""
    for edge in edges:
        if isinstance(edge.label, Against | Trim | Centre):
            continue
        bevel = edge.bevel if face == "moulded face" else np.pi - edge.bevel
        yield FaceEdge(face=face, strake=_edge_name(edge.label), uv=edge.run.uv, bevel=bevel)
