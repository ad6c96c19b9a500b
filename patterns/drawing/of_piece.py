"""A piece as the record of its drawing: outlines, bevels, marks and words, all derived from the piece."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from patterns.boat import Boat
from patterns.drawing.hands import quantity_words
from patterns.drawing.marks import line_of, mark_of, span_of
from patterns.drawing.readings import edge_name, land_readings, readings_of
from patterns.flat.shapes import HAIR
from patterns.hull.curved import stretch_of
from patterns.hull.planes import FloatArray
from patterns.joinery.let_in import let_in
from patterns.joinery.wood import PAST, looking
from patterns.measure.ordinates import OrdinateRule
from patterns.pattern import FaceEdge, Hole, Kind, Line, Pattern, redrawn
from patterns.text.wood_facts import Template, said
from patterns.wood.facts import Fact
from patterns.wood.labels import Against, Centre, Deck, Planking
from patterns.wood.piece import EdgeRun, Hand, Piece, Role, View
from patterns.wood.placement import Mirrored
from patterns.wood.region import Region
from patterns.wood.seats import met_by

__all__ = ["Bench", "pattern_of"]

FLIP = np.diag([-1.0, 1.0])
# Which side lies on the drawing's right where a piece of one hand, or of two unlike sides, is drawn in its own u.
RIGHT = {Hand.PORT: "PORT", Hand.STARBOARD: "STARBOARD", Hand.ACROSS: "STARBOARD"}
MEETS = (Role.PIECE, Role.ASSEMBLED, Role.PART)  # a tool or a layout is no part of the boat
UPSIDE_DOWN = np.diag([1.0, -1.0])  # a face seen from above has its v aft; forward is drawn up


class Bench(Protocol):
    """How patterns are written and drilled: a boat's, or a repair's."""

    @property
    def register(self) -> float:
        """The diameter of register holes, mm."""
        ...

    @property
    def ordinate_rule(self) -> OrdinateRule:
        """The rule by which long pieces are laid off."""
        ...

    def length_words(self, mm: float) -> str:
        """A length for the bench."""
        ...


def pattern_of(bench: Bench, piece: Piece, words: Mapping[str, Template] | None = None) -> Pattern:
    """The record of a piece's drawing: one of a single hand as it is seen, a half or one of a pair in its own u.

    Args:
        words: templates for the kinds of fact that are the member's own.
    """
    if isinstance(bench, Boat):
        piece = let_in(bench, piece)
    lengths, on = bench.length_words, piece.on if piece.flat else None
    # Of a mirrored piece the plane's own u runs the other way in the boat.
    view = FLIP if isinstance(piece.placement, Mirrored) else np.eye(2)
    seen, sides = _views(piece, lambda fact: said(fact, lengths, words))
    register = piece.register_holes(bench.register) if piece.two_papers else ()
    left = piece.wood_left()
    bodies = piece.solid() if piece.role in (Role.PIECE, Role.ASSEMBLED) else ()
    edges = list(piece.edges(0)), list(piece.edges(1))
    known = (*piece.facts, *_derived(piece, left, register))
    faces = piece.faces
    pattern = Pattern(
        name=piece.name,
        member=piece.member,
        part_of=piece.part_of,
        stock=piece.stock.wood,
        thickness=piece.stock.thickness,
        laminations=piece.stock.laminations,
        quantity=quantity_words(piece.hand, piece.count, piece.role),
        hand=piece.hand,
        count=piece.count,
        role=piece.role,
        face=seen[0].words,
        print_side=seen[0].short,
        sides=sides,
        half=piece.half,
        behind=seen[1].words if piece.two_papers else "",
        behind_print_side=seen[1].short if piece.two_papers else "",
        behind_readings=readings_of(edges[1], piece) if piece.two_papers else (),
        behind_marks=tuple(mark_of(note, lengths, words) for note in faces[1].notes)
        if piece.two_papers
        else (),
        behind_levels=tuple(line_of(line, lengths, words) for line in faces[1].scribed)
        if piece.two_papers
        else (),
        behind_stretch=1.0 if on is None else stretch_of(on.face.moved(on.sense * piece.stock.thickness)),
        lines=(
            *outlines(Kind.SAW, piece.saw(), half=piece.half),
            *_face_lines(piece),
            *(replace(line_of(line, lengths, words), kind=Kind.JOINT) for line in faces[0].joints),
            *_centreline(piece),
            *(line_of(line, lengths, words) for line in faces[0].scribed),
        ),
        readings=(*readings_of(edges[0], piece), *land_readings(faces[0].lands, lengths, words)),
        holes=(*register, *piece.holes, *_flip_points(piece)),
        marks=tuple(mark_of(note, lengths, words) for note in faces[0].notes),
        spans=tuple(span_of(distance, lengths, words) for distance in piece.distances),
        facts=tuple(said(fact, lengths, words) for fact in known),
        known=known,
        plane=None if on is None or piece.role is Role.TOOL else piece.face_in_boat,
        siding=1.0 if on is None else on.sense,
        view=view,
        edges=(*_face_edges("moulded face", edges[0], view), *_face_edges("other face", edges[1], view)),
        body=bodies[0] if bodies else None,
        slabs=bodies[1:],
        meetings=tuple(met_by(piece)) if piece.role in MEETS else (),
        grain=piece.grain,
        on_edge=piece.on_edge,
        rule=bench.ordinate_rule if piece.by_ordinates or piece.crown else None,
        crown=piece.crown,
        depth_left={} if piece.role is Role.LAYOUT else left,
        in_boat=tuple(_in_boat(piece)) if piece.role in MEETS else (),
    )
    if RIGHT.get(piece.hand, sides[0]) != sides[0] and piece.view is View.ATHWARTSHIPS:
        return redrawn(pattern, FLIP)
    return redrawn(pattern, UPSIDE_DOWN) if piece.view is View.FROM_ABOVE else pattern


def _in_boat(piece: Piece) -> Iterator[FloatArray]:
    """The outlines of its moulded face where they lie in the boat."""
    for stretch in piece.faces[0].region.outlines():
        points = stretch.points[:-1] if np.allclose(stretch.points[0], stretch.points[-1]) else stretch.points
        yield piece.placement.boat(np.column_stack([points, np.zeros(len(points))]))


@dataclass(frozen=True, slots=True)
class _Seen:
    """A face and how one looks at it in words, and the face alone in fewer."""

    words: str
    short: str = ""


def _views(piece: Piece, in_words: Callable[[Fact], str]) -> tuple[tuple[_Seen, _Seen], tuple[str, str, str]]:
    """The words for the two faces, and for the drawing's right, left and top."""
    if piece.view is not View.ATHWARTSHIPS:
        face = _Seen(in_words(Fact(f"moulded face {piece.view.value}")))
        behind = _Seen(in_words(Fact(f"other face {piece.view.value}")) if piece.two_papers else "")
        return (face, behind), _sides(piece)
    front, look, sides = looking(piece.on.sense)
    back, look_back, _ = looking(-piece.on.sense)
    side = piece.hand.value if piece.hand in (Hand.PORT, Hand.STARBOARD) else sides[0].lower()
    whole = piece.half or piece.hand is Hand.ACROSS
    hand = "" if whole else in_words(Fact("one-of-a-pair", {"side": side}))
    seen = {"face": front, "moulded": piece.moulded, "side": side, "hand": hand, "look": look}
    other = {"face": back, "hand": hand, "look": look_back}
    return (
        _Seen(in_words(Fact("moulded-face-seen", seen)), in_words(Fact("print-side", seen))),
        _Seen(in_words(Fact("other-face-seen", other)), in_words(Fact("print-side", other))),
    ), sides


def _sides(piece: Piece) -> tuple[str, str, str]:
    """The drawing's right, left and top, of a piece that is not looked at along the boat."""
    if piece.view is not View.FROM_ABOVE:
        return ("AFT", "FORWARD", "UP")
    if piece.on.face.v[0] > 0.0:  # what runs down the page runs aft
        return ("STARBOARD", "PORT", "FORWARD")
    return ("PORT", "STARBOARD", "AFT")


def outlines(kind: Kind, region: Region, *, half: bool) -> list[Line]:
    """A region's outlines; of a half without its edge on the centreline, where it meets its other half."""
    left_out = (Centre,) if half else ()
    return [
        Line(kind=kind, points=stretch.points, closed=stretch.closed)
        for stretch in region.outlines(*left_out)
        if stretch.length > HAIR
    ]


def _face_lines(piece: Piece) -> Iterator[Line]:
    """The outlines of both faces and between laminations, but on what is marked by its outline."""
    if not piece.by_outline:
        yield from outlines(Kind.FACE, piece.faces[0].region, half=piece.half)
        for layer in piece.layers:
            yield from outlines(Kind.LAMINATION, layer, half=piece.half)
        yield from outlines(Kind.OTHER, piece.faces[1].region, half=piece.half)


def _derived(piece: Piece, left: Mapping[str, float], register: Sequence[Hole]) -> Iterator[Fact]:
    """The facts that follow from the piece."""
    for lap, kind in ((False, "wood-left-at-notches"), (True, "wood-left-at-laps")):
        cuts = [cut for cut in piece.cuts if bool(cut.space) is lap and cut.against in left]
        here = {cut.against: left[cut.against] for cut in cuts}
        if here:
            one_face = () if lap or piece.steps else _on_one_face(piece, here)
            yield Fact(kind, {"left": here, "one_face": one_face})
    if piece.two_papers and not register:
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
    return tuple(Hole(at=(piece.on.face.centre, v), diameter=1.0, purpose="flip point") for v in piece.flips)


def _face_edges(face: str, edges: Sequence[EdgeRun], view: FloatArray) -> Iterator[FaceEdge]:
    """The hull's edges on a face; on both the angle is that to the way from the moulded face into the wood."""
    for edge in edges:
        if isinstance(edge.label, Planking | Deck):
            bevel = edge.bevel if face == "moulded face" else np.pi - edge.bevel
            yield FaceEdge(face=face, strake=edge_name(edge.label), uv=edge.run.uv @ view, bevel=bevel)
