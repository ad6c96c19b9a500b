"""How two pieces meet, as the design means it: made once, a meeting cuts and marks the one and the other."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any, TypeAlias

import numpy as np
import shapely

from patterns.hull.planes import FloatArray, Plane
from patterns.hull.spaces import Beyond, cut_of
from patterns.hull.turned import turned_plane
from patterns.wood.ends import turned_text
from patterns.wood.facts import Fact
from patterns.wood.features import Note
from patterns.wood.labels import Against, Deck, Label, Planking
from patterns.wood.region import Area, Region

__all__ = [
    "CRUMB",
    "Joinery",
    "Loss",
    "Mate",
    "Meeting",
    "NotMade",
    "OneOf",
    "Seat",
    "Slack",
    "renamed",
    "turned_meeting",
    "without",
]

CRUMB = 25.0  # mm2; a smaller piece is a chip of the saw
APART = 5.0  # mm between the places of a seat


class Joinery(Enum):
    """How one piece lands on another; its value is what that is called."""

    BUTT = "butt"
    MITRE = "mitre"
    HALF_LAP = "half lap"
    SCARF = "scarf"
    NOTCH = "notch"  # the one that lands passes through the edge of the other
    HOUSING = "housing"  # its end lies in the other
    MORTISE = "mortise"
    FACE = "face on face"
    EDGE = "fitted edge"  # its sawn edge lies on a face of the other


@dataclass(frozen=True, slots=True)
class OneOf:
    """Whichever pieces lie there of what is made of several: of a frame, of a transom.

    Attributes:
        whole: what all of them are asked for by; see `Piece.part_of`.
    """

    whole: str


@dataclass(frozen=True, slots=True)
class NotMade:
    """What the design makes no piece of: a mast, the old frame that a repair leaves."""

    what: str


Mate: TypeAlias = str | OneOf | NotMade | Planking | Deck
"""What a meeting is with: a piece by its name, or the inside of a strake, or the deck's underside."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seat:
    """Where two pieces touch in a plane, or on a bent face.

    Attributes:
        plane: the face in the boat.
        shape: on it, mm: the area of faces that lie on each other; of an edge through the wood its line there.
    """

    plane: Plane
    shape: Any

    def points(self) -> FloatArray:
        """Places on it, (n, 3), no more than some `APART` mm from each other along its lines and outlines."""
        return self.plane.space(shapely.get_coordinates(shapely.segmentize(self.shape, APART)))

    def away(self, points: FloatArray) -> FloatArray:
        """How far points (n, 3) are from it, mm, (n,)."""
        along = shapely.distance(self.shape, shapely.points(self.plane.flat(points)))
        far: FloatArray = np.hypot(along, self.plane.height_over(points))
        return far

    def on(self, plane: Plane, *, within: float) -> Any | None:
        """Its area on another plane; None where it lies farther than ``within`` mm from that."""
        points = self.points()
        if not len(points) or float(np.abs(plane.height_over(points)).max()) > within:
            return None
        return shapely.transform(self.shape, lambda uv: plane.flat(self.plane.space(uv)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loss:
    """What one of two pieces that meet loses.

    Attributes:
        piece: its name.
        against: what the edges of the cut are `Against`.
        space: the space that it loses, as the part of the boat on one side of each of several planes.
        areas: what it loses of each of its faces, from the moulded one, where no planes bound that; they may run
            past the wood.
        halving: the area that it loses from one of its faces after it is sawn out and bevelled, which may run past
            the wood, and from which face (0 the moulded one, 1 the other).
        left_to: the kinds of edge that the wood left over the cut is measured to; none where only `at_most` counts.
        at_most: the least wood left over the same cut in what the piece is a part of, mm: a futtock is no stronger
            there than its frame put together.
    """

    piece: str
    against: str
    space: tuple[Beyond, ...] = ()
    areas: tuple[Area, ...] = ()
    halving: tuple[Area, int] | None = None
    left_to: tuple[type[Label], ...] = ()
    at_most: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Slack:
    """Why two pieces that meet need not touch on paper.

    Attributes:
        deep: how deep one may lie in the other, mm, whose wood is given uncut; 0 where only a gap is meant.
        why: in words.
    """

    deep: float = 0.0
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meeting:
    """One piece lands on another.

    A piece carries its meetings; two pieces may carry the same one.  Where it touches is said by its `seats`, or by
    the `edges` and `faces` of the piece that carries it, from which `met_by` gives the seats.

    Attributes:
        lands: the piece whose end, edge or face it is; of a notch the timber, of a lap the one that lies over.
        on: what it lands on.  On its own name: on its mirror, on the centreline.
        keys: the entries and keys of the design that ask for it; where none are given, the entry that asks for the
            piece that carries it does.
        edges: labels of the edges that lie there.
        faces: which faces lie there, 0 the moulded one, 1 the other.
        cuts: what the two lose.
        depth: of the bed that two lapped pieces share, below the deck's underside, mm.
    """

    kind: Joinery
    lands: Mate
    on: Mate
    keys: tuple[str, ...] = ()
    edges: tuple[Label, ...] = ()
    faces: tuple[int, ...] = ()
    seats: tuple[Seat, ...] = ()
    cuts: tuple[Loss, ...] = ()
    depth: float = 0.0
    slack: Slack | None = None

    @property
    def pair(self) -> frozenset[Mate]:
        """The two."""
        return frozenset((self.lands, self.on))

    @property
    def middle(self) -> FloatArray | None:
        """A place about the middle of where they touch, (3,); None where no seat is known."""
        points = [seat.points() for seat in self.seats]
        return np.vstack(points).mean(axis=0) if points else None

    def other(self, name: Mate) -> Mate:
        """The one of the two that is not ``name``."""
        return self.on if name == self.lands else self.lands

    def from_the_other_face(self) -> Meeting:
        """The same carried by a piece that is described from its other face."""
        turned = (
            replace(
                cut,
                areas=cut.areas[::-1],
                halving=None if cut.halving is None else (cut.halving[0], 1 - cut.halving[1]),
            )
            for cut in self.cuts
        )
        return replace(self, cuts=tuple(turned), faces=tuple(1 - face for face in self.faces))

    def cut(self, name: str) -> Loss | None:
        """What one of the two loses; None where it loses nothing."""
        return next((cut for cut in self.cuts if cut.piece == name), None)

    def space_in(self, name: str, plane: Plane) -> Region:
        """What one of the two loses of a plane by planes; its edges lie against the other piece."""
        cut = self.cut(name)
        assert cut is not None
        return Region.of(cut_of(plane, cut.space), Against(cut.against))

    def area_in(self, name: str, face: int) -> Region | None:
        """What one of the two loses of a face by an area of its own; None where it loses none."""
        cut = self.cut(name)
        if cut is None or not cut.areas:
            return None
        return Region.of(cut.areas[face], Against(cut.against))

    def note(self, name: str, plane: Plane, blank: Region) -> Note | None:
        """What is written at a lap on one face of one of the two; None where it does not reach that face.

        Args:
            blank: the face's wood before any meeting cut it.
        """
        cut, over = self.cut(name), name == self.lands
        if cut is None:
            return None
        area = cut_of(plane, cut.space).intersection(blank.area)
        if area.area < CRUMB:  # let in by its whole depth: it only lies there
            area = cut_of(plane, cut.space[:-1]).intersection(blank.area)
            if area.is_empty:
                return None
        x0, y0, x1, y1 = area.bounds
        fact = Fact("lap", {"other": self.other(name), "over": over, "depth": self.depth})
        at = (max(float(0.5 * (x0 + x1)), 0.0), float(y1 if over else y0))
        return Note(fact=fact, at=at, bare=True)


def without(wood: Region, name: str, face: int, meetings: Iterable[Meeting]) -> Region:
    """What of a piece's face is left by the meetings that cut each of its faces by an area of its own.

    Args:
        name: the piece's, or that of the whole that it is sawn of.
        face: 0 the moulded one; the other is the last.
    """
    lost = [area for each in meetings if (area := each.area_in(name, face)) is not None and not area.is_empty]
    return wood.minus(*lost) if lost else wood


def _named(meeting: Meeting, called: Callable[[str], str]) -> Meeting:
    """The same with other names for pieces."""

    def ref(of: Mate) -> Mate:
        if isinstance(of, OneOf):
            return OneOf(called(of.whole))
        return called(of) if isinstance(of, str) else of

    return replace(
        meeting,
        lands=ref(meeting.lands),
        on=ref(meeting.on),
        cuts=tuple(
            replace(cut, piece=called(cut.piece), against=called(cut.against)) for cut in meeting.cuts
        ),
    )


def renamed(meetings: Iterable[Meeting], old: str, new: str) -> tuple[Meeting, ...]:
    """Meetings of a piece that is given another name."""
    return tuple(_named(meeting, lambda name: new if name == old else name) for meeting in meetings)


def turned_meeting(meeting: Meeting, label: Callable[[Label], Label], moved: Callable[[Any], Any]) -> Meeting:
    """A meeting with the boat turned end for end.

    The planes of its seats keep their u and v; spaces in the boat are gone, as the pieces are cut by then.

    Args:
        label, moved: what becomes of a label, and of an area in the own coordinates of the piece that carries it.
    """
    turned = _named(meeting, turned_text)
    return replace(
        turned,
        keys=tuple(turned_text(key) for key in meeting.keys),
        edges=tuple(label(each) for each in meeting.edges),
        seats=tuple(Seat(plane=turned_plane(seat.plane), shape=seat.shape) for seat in meeting.seats),
        cuts=tuple(
            replace(
                cut,
                space=(),
                areas=tuple(moved(area) for area in cut.areas),
                halving=None if cut.halving is None else (moved(cut.halving[0]), cut.halving[1]),
            )
            for cut in turned.cuts
        ),
    )
