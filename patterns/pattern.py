"""A pattern: one piece of the boat as a true shape, with everything the bench must be told."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np

from patterns.hull.curved import own_face
from patterns.hull.planes import FloatArray, Plane
from patterns.measure.ordinates import OrdinateRule
from patterns.wood.body import Body
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Hole
from patterns.wood.meeting import Meeting
from patterns.wood.piece import Hand, Role

__all__ = [
    "XY",
    "Body",
    "FaceEdge",
    "Hole",
    "Kind",
    "Line",
    "Mark",
    "Pattern",
    "Reading",
    "Span",
    "from_the_other_face",
    "redrawn",
    "reduced",
]


class Kind(Enum):
    """What a line on a pattern is; the words are those of the key on the pages."""

    SAW = "saw line"
    FACE = "this face"
    OTHER = "other face"
    REFERENCE = "reference line"
    CENTRE = "centreline"
    BASE = "base line: the straight edge of the sheet"
    RABBET = "rabbet line"
    APEX = "apex"
    BEARDING = "bearding line"
    LAMINATION = "lamination"
    LANDING = "landing line of another piece"
    JOINT = "joint"
    BOLT = "bolt"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """A line of a pattern: points (n, 2), mm; ``closed`` joins the last to the first.

    Attributes:
        piece: of a landing line or a joint, the other piece that lies there; empty where it shows none.
        bolt: it is the middle line of a bolt, which lies in the middle of the wood's thickness.
    """

    kind: Kind
    points: FloatArray
    closed: bool = False
    name: str = ""
    piece: str = ""
    bolt: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A bevel at a place on the moulded face's edge.

    Attributes:
        at: mm.
        bevel: the angle through the wood, radians, read square to the edge.
        towards: the direction, away from the wood or into it, in which the words may stand.
        where: what lies there ("chine log", "deck"), may be empty.
        edge: which edge it belongs to (a strake's name, "deck").
        land: it is a land planed between two fixed lines, no sawn edge.
        all_along: it holds from end to end of its edge, and is the only reading there.
    """

    at: XY
    bevel: float
    towards: XY
    edge: str
    where: str = ""
    land: bool = False
    all_along: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A short line across an edge, or a word at a place.

    Attributes:
        towards: direction of the tick from ``at``; ``(0, 0)`` makes a small cross there instead.
        word: neither tick nor cross, the words alone.
        fact: what the words were made of; None where they are a name.
    """

    name: str
    at: XY
    towards: XY = (0.0, 0.0)
    length: float = 14.0
    word: bool = False
    fact: Fact | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A distance to be measured over the taped pattern, between two places that are printed as targets."""

    name: str
    start: XY
    end: XY


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaceEdge:
    """The hull edge that one face of the piece cuts on one strake, in the plane's own coordinates.

    Attributes:
        face: "moulded face" or "other face".
        strake: the strake's name, or "deck".
        uv: shape (n, 2), mm, in the moulded face's u and v, on either face: the two share them square across.
        bevel: shape (n,), the angle through the wood, radians, on either face read from the moulded one.
    """

    face: str
    strake: str
    uv: FloatArray
    bevel: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pattern:
    """One piece of the boat as a true shape in its own plane.

    Attributes:
        name: as it is called on pages and in file names, e.g. ``frame 3``.
        member: the kind of member, e.g. ``frame``.
        part_of: as in the piece.
        stock: what it is made of, in words.
        thickness: siding of the piece, mm.
        laminations: how many layers are glued into it.
        quantity: by hand, in words ("1", "1 port + 1 starboard"), as they are printed.
        hand, count, role: on which side it is, how many are made (of a pair, for each side), and what for.
        face: the face that the pattern shows and how one looks at it; empty where either may be up.
        print_side, behind_print_side: on which face the pattern of each lies print side up, in a few words; empty
            where ``face`` is as short.
        behind: the same of its other face; empty where no other face is printed.
        behind_readings: the bevels along the other face's edges, stock on that face.
        behind_marks, behind_levels: the marks and the level lines of the other face.
        behind_landings: the landing lines as the other face's paper names them.
        behind_stretch: breadths on the other face over those of this one, where both are faces of a bent piece.
        sides: words for the drawing's right and left ("STARBOARD", "PORT"), and for its top.
        half: the lines show the right half; the whole is got by flipping about the centreline.
        lines, readings, holes, marks, spans: what is drawn.
        facts: more words for the bench, one a line.
        known: the facts of which these words were made, in the same order.
        plane: the moulded face in the boat; None for pieces that no plane of the hull cuts.
        siding: 1 where the wood runs along the plane's normal from that face, -1 where against it.
        view: shape (2, 2), how the plane's own u and v are turned or mirrored to make the drawing: a point of the
            drawing is ``view`` times its u and v.  What is drawn never moves the wood.
        edges: the hull edges on both faces.
        body: the wood where it stands in the boat; None where a pattern is no single flat piece.
        meetings: where it meets other pieces, planking and deck.
        slabs: more of the same piece's wood beside the body, where its edges turn or step between the two faces.
        grain: direction of the grain, (0, 0) where it does not matter.
        on_edge: the thickness of its board, mm, where the pattern shows the edge of it; 0 where it shows the face.
        template: a paper to mark wood by; nothing is sawn of its own size.
        rule: the rule by which it is laid off by ordinates where it is long, or by the crown mould; None where it
            is printed whole.
        crown: the radius of the deck's crown by which its top is sawn, mm; 0 where it is not.
        across: breadth of the whole piece, mm, where the lines show parts of it alone; 0: the lines show it.
        work: its place in the order of work: the stage, and the place of its kind in that; (0, 0) where its subject
            has no such order.
        depth_left: least depth of wood at each notch, mm, by timber.
        in_boat: its outlines where it lies in the boat, each of shape (n, 3), mm, the first point not repeated; of
            a pair the starboard one's, of a half that half's.  Empty where it has no place of its own there.
    """

    name: str
    member: str
    stock: str
    thickness: float
    laminations: int
    quantity: str
    hand: Hand
    count: int = 1
    role: Role = Role.PIECE
    face: str
    print_side: str = ""
    sides: tuple[str, str, str]
    half: bool
    behind: str = ""
    behind_print_side: str = ""
    behind_readings: tuple[Reading, ...] = ()
    behind_marks: tuple[Mark, ...] = ()
    behind_levels: tuple[Line, ...] = ()
    behind_landings: tuple[Line, ...] = ()
    behind_stretch: float = 1.0
    lines: tuple[Line, ...]
    readings: tuple[Reading, ...] = ()
    holes: tuple[Hole, ...] = ()
    marks: tuple[Mark, ...] = ()
    spans: tuple[Span, ...] = ()
    facts: tuple[str, ...] = ()
    known: tuple[Fact, ...] = ()
    plane: Plane | None = None
    siding: float
    view: FloatArray = field(default_factory=lambda: np.eye(2))
    edges: tuple[FaceEdge, ...] = ()
    body: Body | None = None
    slabs: tuple[Body, ...] = ()
    meetings: tuple[Meeting, ...] = ()
    part_of: str = ""
    grain: XY = (0.0, 0.0)
    on_edge: float = 0.0
    template: bool = False
    rule: OrdinateRule | None = None
    crown: float = 0.0
    across: float = 0.0
    work: tuple[int, int] = (0, 0)
    depth_left: dict[str, float] = field(default_factory=dict)
    in_boat: tuple[FloatArray, ...] = ()

    @property
    def trial(self) -> bool:
        """It is of card, to be tried in the boat before any wood is cut; no part of her."""
        return self.role is Role.TRIAL

    @property
    def made(self) -> int:
        """How many are made in all, on both sides."""
        return self.count + self.turned_over

    @property
    def turned_over(self) -> int:
        """How many of these are sawn by the pattern turned over: those for port of a pair."""
        return self.count if self.hand is Hand.PAIR and not self.trial else 0

    def of_kind(self, kind: Kind) -> tuple[Line, ...]:
        """The lines of one kind."""
        return tuple(line for line in self.lines if line.kind is kind)

    def size(self) -> tuple[float, float]:
        """Breadth and height of the wood as sawn, mm; of the whole piece, not of its half."""
        points = np.vstack([line.points for line in self.of_kind(Kind.SAW)])
        low, high = points.min(axis=0), points.max(axis=0)
        breadth = 2.0 * max(high[0], -low[0]) if self.half else high[0] - low[0]
        return self.across or float(breadth), float(high[1] - low[1])


def redrawn(pattern: Pattern, matrix: FloatArray) -> Pattern:
    """The same pattern drawn through a linear map, shape (2, 2), that turns or mirrors it.

    The plane, its edges and the body keep their own coordinates: the view alone changes.
    """

    def to(point: XY) -> XY:
        x, y = matrix @ np.asarray(point)
        return float(x), float(y)

    return replace(
        pattern,
        lines=tuple(replace(line, points=line.points @ matrix.T) for line in pattern.lines),
        readings=tuple(replace(r, at=to(r.at), towards=to(r.towards)) for r in pattern.readings),
        behind_readings=tuple(
            replace(r, at=to(r.at), towards=to(r.towards)) for r in pattern.behind_readings
        ),
        holes=tuple(replace(hole, at=to(hole.at)) for hole in pattern.holes),
        marks=tuple(replace(mark, at=to(mark.at), towards=to(mark.towards)) for mark in pattern.marks),
        behind_marks=tuple(
            replace(mark, at=to(mark.at), towards=to(mark.towards)) for mark in pattern.behind_marks
        ),
        behind_levels=tuple(replace(line, points=line.points @ matrix.T) for line in pattern.behind_levels),
        behind_landings=tuple(
            replace(line, points=line.points @ matrix.T) for line in pattern.behind_landings
        ),
        spans=tuple(replace(span, start=to(span.start), end=to(span.end)) for span in pattern.spans),
        grain=to(pattern.grain),
        view=matrix @ pattern.view,
    )


def reduced(pattern: Pattern, by: float) -> Pattern:
    """The pattern's places as they stand on paper where it is printed so much smaller.

    Words, ticks and directions stay as they are, and so do the plane, the edges and the body: those are the boat's.
    """

    def to(point: XY) -> XY:
        return point[0] * by, point[1] * by

    return replace(
        pattern,
        lines=tuple(replace(line, points=line.points * by) for line in pattern.lines),
        readings=tuple(replace(reading, at=to(reading.at)) for reading in pattern.readings),
        holes=tuple(replace(hole, at=to(hole.at)) for hole in pattern.holes),
        marks=tuple(replace(mark, at=to(mark.at)) for mark in pattern.marks),
        spans=tuple(replace(span, start=to(span.start), end=to(span.end)) for span in pattern.spans),
    )


def from_the_other_face(pattern: Pattern) -> Pattern:
    """The pattern for the other face, mirrored, so that it lies on the same register holes.

    That of a bent piece is unrolled at its own radius; holes square through the wood still have one place.
    """
    swap = {Kind.FACE: Kind.OTHER, Kind.OTHER: Kind.FACE}
    names = {"moulded face": "other face", "other face": "moulded face"}
    other = redrawn(pattern, np.diag([-pattern.behind_stretch, 1.0]))
    right, left, top = pattern.sides
    return replace(
        other,
        name=f"{pattern.name}, other face",
        face=pattern.behind,
        print_side=pattern.behind_print_side,
        behind=pattern.face,
        behind_print_side=pattern.print_side,
        sides=(left, right, top),
        lines=(
            *(
                replace(line, kind=swap.get(line.kind, line.kind))
                for line in other.lines
                if line.kind not in (Kind.REFERENCE, Kind.LANDING)
            ),
            *other.behind_levels,
            *other.behind_landings,
        ),
        behind_levels=other.of_kind(Kind.REFERENCE),
        behind_landings=other.of_kind(Kind.LANDING),
        marks=other.behind_marks,
        behind_marks=other.marks,
        behind_stretch=1.0 / pattern.behind_stretch,
        readings=other.behind_readings,
        behind_readings=other.readings,
        plane=None
        if pattern.plane is None
        else own_face(pattern.plane.moved(pattern.siding * pattern.thickness)),
        siding=-pattern.siding,
        edges=tuple(replace(edge, face=names[edge.face], bevel=np.pi - edge.bevel) for edge in pattern.edges),
    )
