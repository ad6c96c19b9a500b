"""Where two pieces meet: made once, from where both lie before any cut, it cuts and marks the one and the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from patterns.errors import PatternsError
from patterns.hull.planes import Plane
from patterns.hull.spaces import Beyond, cut_of, flipped
from patterns.wood.facts import Fact
from patterns.wood.features import LetIn, Note
from patterns.wood.labels import Against, Deck, Free, Level
from patterns.wood.region import Region, largest_of

__all__ = ["CRUMB", "Joinery", "Meeting", "cut_for", "let_in_by"]

CRUMB = 25.0  # mm2; a smaller piece is a chip of the saw


class Joinery(Enum):
    """How two pieces are let into each other."""

    HALF_LAP = "half lap"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meeting:
    """Two pieces let into each other, one over the other, on one bed.

    The piece that lies over is cut away below the bed and the piece under it above, each between the other's real
    faces, so that the two notches are one another's counterpart.

    Attributes:
        over, under: the names of the piece that lies over and of the one that it lies in.
        across: the space between the faces of the other piece, as each of them sees it: ``across[0]`` is cut out
            of the piece that lies over, ``across[1]`` out of the one under it; open at the end of a piece.
        bed: the half of space above the plane in which they touch.
        depth: of the bed below the deck's underside, mm.
    """

    kind: Joinery
    over: str
    under: str
    across: tuple[tuple[Beyond, ...], tuple[Beyond, ...]]
    bed: Beyond
    depth: float

    def cut_from(self, name: str) -> tuple[str, tuple[Beyond, ...]]:
        """The other piece's name, and the space that one of the two loses."""
        if name == self.over:
            return self.under, (*self.across[0], flipped(self.bed))
        return self.over, (*self.across[1], self.bed)

    def space_in(self, name: str, plane: Plane) -> Region:
        """What one of the two loses on a plane; its edges lie against the other piece."""
        other, space = self.cut_from(name)
        return Region.of(cut_of(plane, space), Against(other))

    def let_in(self, name: str) -> LetIn:
        """One of the two as cut for the other; the wood left is measured to the edge that the cut does not open."""
        other, _ = self.cut_from(name)
        return LetIn(piece=other, left_to=(Deck, Level) if name == self.over else (Free,), lap=True)

    def note(self, name: str, plane: Plane, blank: Region) -> Note | None:
        """What is written at the cut on one face of one of the two; None where it does not reach that face.

        Args:
            blank: the face's wood before any meeting cut it.
        """
        other, space = self.cut_from(name)
        cut = cut_of(plane, space).intersection(blank.area)
        if cut.area < CRUMB:  # let in by its whole depth: it only lies there
            cut = cut_of(plane, space[:-1]).intersection(blank.area)
            if cut.is_empty:
                return None
        x0, y0, x1, y1 = cut.bounds
        fact = Fact("lap", {"other": other, "over": name == self.over, "depth": self.depth})
        at = (max(float(0.5 * (x0 + x1)), 0.0), float(y1 if name == self.over else y0))
        return Note(fact=fact, at=at, bare=True)


def let_in_by(
    name: str, meetings: Sequence[Meeting], planes: Sequence[Plane], blanks: Sequence[Region]
) -> tuple[LetIn, ...]:
    """The meetings that take wood from a piece; one let in by its whole depth only lies on the other.

    Args:
        planes, blanks: of its faces, and their wood before any meeting cut it.
    """
    return tuple(
        meeting.let_in(name)
        for meeting in meetings
        if any(
            meeting.space_in(name, plane).area.intersection(blank.area).area > CRUMB
            for plane, blank in zip(planes, blanks, strict=True)
        )
    )


def cut_for(name: str, blank: Region, plane: Plane, meetings: Sequence[Meeting]) -> Region:
    """The wood of one face when its meetings are cut.

    Raises:
        PatternsError: one cuts the piece in two.
    """
    wood = blank
    for meeting in meetings:
        wood = wood.minus(meeting.space_in(name, plane))
        if len(wood.parts(least=CRUMB)) > 1:
            other, _ = meeting.cut_from(name)
            raise PatternsError(
                f"the notch for {other}, {meeting.depth:g} mm deep, cuts it in two; make let_in less or it deeper"
            )
    return largest_of(wood)
