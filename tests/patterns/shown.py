"""How each pattern shows each neighbour of its piece: read from what is drawn, not from what drew it."""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum

from patterns.assembly.intended import known_meetings, meetings_among
from patterns.pattern import Kind, Pattern
from patterns.repair.subject import RepairSubject
from patterns.subject import BoatSubject, Subject
from patterns.wood.ends import HullEnd
from patterns.wood.labels import Deck, Landing, Nose, Planking, Trim
from patterns.wood.meeting import Mate, Meeting, NotMade, OneOf
from patterns.wood.piece import Role

__all__ = ["Shown", "shown_in", "shown_on"]


class Shown(Enum):
    """By what a pattern shows where a neighbour lies on its piece, the first that holds.

    A landing line that is the neighbour's own; a label at an edge: a bevel that is read on it, or that is read
    along planking or deck, a note at a notch, a lap or an edge, or, where the neighbour covers the whole face, its
    name on that; a line of words beside the drawing; nothing.
    """

    LINE = "line"
    EDGE = "label"
    WORDS = "words"
    NOTHING = "nothing"


def shown_in(subject: Subject) -> dict[tuple[str, str], Shown]:
    """For each piece that has a pattern on a plane, and each neighbour that it meets, how it is shown.

    Planking and deck are neighbours, too.  Long timbers have papers for their ends alone, and are marked by
    their tables; they count as neighbours, not as pieces.
    """
    patterns = subject.patterns()
    if isinstance(subject, BoatSubject):
        meetings = known_meetings(subject.boat, patterns)
    else:
        assert isinstance(subject, RepairSubject)
        meetings = meetings_among(patterns)
    pieces = [
        each for each in patterns if each.plane is not None and each.role in (Role.PIECE, Role.ASSEMBLED)
    ]
    found: dict[tuple[str, str], Shown] = {}
    for meeting in meetings:
        for mate in (meeting.lands, meeting.on):
            other = meeting.other(mate)
            for piece in pieces:
                of = {piece.name, piece.part_of} if isinstance(mate, OneOf) else {piece.name}
                if (mate.whole if isinstance(mate, OneOf) else mate) in of:
                    found[piece.name, _called(other)] = shown_on(piece, other, by_end=_ends(meeting, piece))
    return found


def _ends(meeting: Meeting, piece: Pattern) -> set[str]:
    """What the piece's edge is fitted to, be it one piece or several: what closes the hull, a frame."""
    if meeting.lands != piece.name:
        return set()
    on = [label.on for label in meeting.edges if isinstance(label, Landing | Nose)]
    wholes = {label.on for label in meeting.edges if isinstance(label, Trim) and label.on}
    return {str(each) for each in on if isinstance(each, HullEnd)} | wholes


def _called(mate: Mate) -> str:
    if isinstance(mate, Planking):
        return mate.strake
    if isinstance(mate, Deck):
        return "deck"
    if isinstance(mate, NotMade):
        return mate.what
    return mate.whole if isinstance(mate, OneOf) else mate


def shown_on(pattern: Pattern, mate: Mate, *, by_end: Collection[str] = ()) -> Shown:
    """How one pattern shows one neighbour.

    Args:
        by_end: what closes the hull, or the frame, that the neighbour is a part of, if it is called by that.
    """
    name = _called(mate)
    short = {name.removeprefix(f"{pattern.part_of} ")} - {name}  # may be that of a strake as well
    names = {name, *short, *by_end}

    if any(line.piece == name for line in pattern.of_kind(Kind.LANDING)):
        return Shown.LINE
    edges = {reading.edge for reading in pattern.readings} | {edge.strake for edge in pattern.edges}
    if isinstance(mate, Planking | Deck) and names & edges:
        return Shown.EDGE
    if any(line.piece in names for line in pattern.lines):  # the shoulder of its lap
        return Shown.EDGE
    facts = [mark.fact for mark in pattern.marks if mark.fact is not None]
    if any(value in names for fact in facts for value in fact.values.values() if isinstance(value, str)):
        return Shown.EDGE
    ends = {f"{on} {each}" for each in names for on in ("on", "on the", "end on the", "nose on the")}
    if any(reading.where in ends for reading in pattern.readings) or (names - short) & edges:
        return Shown.EDGE
    in_words = any(each in text for each in names for text in pattern.facts)
    return Shown.WORDS if in_words else Shown.NOTHING
