"""A piece as the record of its drawing: outlines, bevels, marks and words, all derived from the piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np

from patterns.drawing.hands import QUANTITY
from patterns.drawing.marks import line_of, mark_of, span_of
from patterns.flat.shapes import HAIR
from patterns.hull.planes import FloatArray
from patterns.joinery.rings import edge_readings
from patterns.joinery.wood import PAST, looking
from patterns.pattern import FaceEdge, Hole, Kind, Line, Pattern, Reading, redrawn
from patterns.text.wood_facts import Template, said
from patterns.wood.facts import Fact
from patterns.wood.labels import Against, Centre, Deck, Free, Label, Planking, Trim
from patterns.wood.piece import EdgeRun, Hand, Piece, View
from patterns.wood.placement import Mirrored
from patterns.wood.region import Region

__all__ = ["Bench", "pattern_of"]

FLIP = np.diag([-1.0, 1.0])


class Bench(Protocol):
    """How patterns are written and drilled: a boat's, or a repair's."""

    @property
    def register(self) -> float:
        """The diameter of register holes, mm."""
        ...

    def length_words(self, mm: float) -> str:
        """A length for the bench."""
        ...


def pattern_of(bench: Bench, piece: Piece, words: Mapping[str, Template] | None = None) -> Pattern:
    """The record of a piece's drawing: one of a single hand as it is seen, a half or one of a pair in its own u.

    Args:
        words: templates for the kinds of fact that are the member's own.
    """
    lengths = bench.length_words
    face, behind, sides = _views(piece, lambda fact: said(fact, lengths, words))
    single = {Hand.PORT: "PORT", Hand.STARBOARD: "STARBOARD", Hand.ACROSS: "STARBOARD"}
    drawn = _in_own_u(bench, piece, words, face=face, behind=behind, sides=sides)
    return redrawn(drawn, FLIP) if single.get(piece.hand, sides[0]) != sides[0] else drawn


def _in_own_u(
    bench: Bench,
    piece: Piece,
    words: Mapping[str, Template] | None,
    *,
    face: str,
    behind: str,
    sides: tuple[str, str, str],
) -> Pattern:
    lengths, sense = bench.length_words, piece.on.sense
    register = () if piece.trial else piece.register_holes(bench.register)
    left = piece.wood_left()
    bodies = piece.solid()
    edges = list(piece.edges(0)), list(piece.edges(1))
    faces = piece.faces
    # Of a mirrored piece the plane's own u runs the other way in the boat.
    view = FLIP if isinstance(piece.placement, Mirrored) else np.eye(2)
    return Pattern(
        name=piece.name,
        member=piece.member,
        stock=piece.stock.wood,
        thickness=piece.stock.thickness,
        laminations=piece.stock.laminations,
        quantity=_quantity(piece, lambda fact: said(fact, lengths, words)),
        face=face,
        sides=sides,
        half=piece.half,
        behind="" if piece.one_face else behind,
        behind_readings=tuple(_readings(edges[1])),
        behind_marks=tuple(mark_of(note, lengths, words) for note in faces[1].notes),
        behind_levels=tuple(line_of(line, lengths, words) for line in faces[1].scribed),
        lines=(
            *outlines(Kind.SAW, piece.saw(), half=piece.half),
            *_faces(piece),
            *_centreline(piece),
            *(line_of(line, lengths, words) for line in faces[0].scribed),
        ),
        readings=tuple(_readings(edges[0])),
        holes=(*register, *piece.holes, *_flip_points(piece)),
        marks=tuple(mark_of(note, lengths, words) for note in faces[0].notes),
        spans=tuple(span_of(distance, lengths, words) for distance in piece.distances),
        facts=tuple(said(fact, lengths, words) for fact in (*piece.facts, *_derived(piece, left, register))),
        plane=piece.face_in_boat,
        siding=sense,
        view=view,
        edges=(*_face_edges("moulded face", edges[0], view), *_face_edges("other face", edges[1], view)),
        body=bodies[0],
        slabs=bodies[1:],
        grain=piece.grain,
        on_edge=piece.on_edge,
        trial=piece.trial,
        depth_left=left,
    )


def _quantity(piece: Piece, in_words: Callable[[Fact], str]) -> str:
    return in_words(Fact("to-try", {"hand": piece.hand.value})) if piece.trial else QUANTITY[piece.hand]


def _faces(piece: Piece) -> Iterator[Line]:
    if not piece.one_face:
        for kind, face in zip((Kind.FACE, Kind.OTHER), piece.faces, strict=True):
            yield from outlines(kind, face.region, half=piece.half)


def _views(piece: Piece, in_words: Callable[[Fact], str]) -> tuple[str, str, tuple[str, str, str]]:
    """The words for the two faces, and for the drawing's right, left and top."""
    if piece.view is not View.ATHWARTSHIPS:
        faces = (in_words(Fact(f"{face} {piece.view.value}")) for face in ("moulded face", "other face"))
        return next(faces), next(faces), ("AFT", "FORWARD", "UP")
    face, look, sides = looking(piece.on.sense)
    behind, look_back, _ = looking(-piece.on.sense)
    side = piece.hand.value if piece.hand in (Hand.PORT, Hand.STARBOARD) else sides[0].lower()
    whole = piece.half or piece.hand is Hand.ACROSS
    hand = "" if whole else in_words(Fact("one-of-a-pair", {"side": side}))
    seen = {"face": face, "moulded": piece.moulded, "side": side, "hand": hand, "look": look}
    back = {"face": behind, "hand": hand, "look": look_back}
    return in_words(Fact("moulded-face-seen", seen)), in_words(Fact("other-face-seen", back)), sides


def outlines(kind: Kind, region: Region, *, half: bool) -> list[Line]:
    """A region's outlines; of a half without its edge on the centreline, where it meets its other half."""
    wood = np.array([not (half and isinstance(label, Centre)) for label in region.palette])[region.codes]
    region = region.relabelled(wood, Free())
    return [
        Line(kind=kind, points=stretch.points, closed=stretch.closed)
        for stretch in region.stretches()
        if not (half and isinstance(stretch.label, Centre)) and stretch.length > HAIR
    ]


def _derived(piece: Piece, left: Mapping[str, float], register: Sequence[Hole]) -> Iterator[Fact]:
    """The facts that follow from the piece."""
    for lap, kind in ((False, "wood-left-at-notches"), (True, "wood-left-at-laps")):
        here = {cut.piece: left[cut.piece] for cut in piece.let_in if cut.lap is lap and cut.piece in left}
        if here:
            yield Fact(kind, {"left": here})
    if not register and not piece.trial and not piece.one_face:
        yield Fact("no-register-holes")


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


def _face_edges(face: str, edges: Sequence[EdgeRun], view: FloatArray) -> Iterator[FaceEdge]:
    """The hull's edges on a face; on both the angle is that to the way from the moulded face into the wood."""
    for edge in edges:
        if isinstance(edge.label, Against | Trim):
            continue
        bevel = edge.bevel if face == "moulded face" else np.pi - edge.bevel
        yield FaceEdge(face=face, strake=_edge_name(edge.label), uv=edge.run.uv @ view, bevel=bevel)
