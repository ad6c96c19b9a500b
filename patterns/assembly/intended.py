"""Every contact between pieces that the design means, as one list: what the pieces carry, and the timbers' own."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.hull.planes import Plane
from patterns.joinery.timber_meetings import timber_meetings
from patterns.pattern import Pattern
from patterns.wood.labels import Deck
from patterns.wood.meeting import CRUMB, Joinery, Mate, Meeting, NotMade, OneOf, Seat

__all__ = ["areas_on", "known_meetings", "meetings_among", "meetings_of", "off_their_wholes", "unheld"]

ON_FACE = 2.0  # mm; a landing this near to a face lies on it, as a knee's square end does on a curved transom


def meetings_of(boat: Boat, patterns: Sequence[Pattern]) -> tuple[Meeting, ...]:
    """Every contact that is meant, each once.

    Raises:
        PatternsError: a timber cannot be laid.
    """
    return meetings_among(patterns, tuple(timber_meetings(boat)))


def known_meetings(boat: Boat, patterns: Sequence[Pattern]) -> tuple[Meeting, ...]:
    """The same, without those of the timbers where one of these cannot be laid, which is an error by itself."""
    try:
        return meetings_of(boat, patterns)
    except PatternsError:
        return meetings_among(patterns)


def meetings_among(patterns: Sequence[Pattern], more: Iterable[Meeting] = ()) -> tuple[Meeting, ...]:
    """Every contact that is meant between pieces, each once; what lies on a frame lies on one of its pieces.

    Args:
        more: contacts that no pattern carries.
    """
    carried = [meeting for pattern in patterns for meeting in pattern.meetings]
    cut = {(each.kind, each.lands, each.on) for each in carried if each.cuts}
    more = (*more, *(each for each in carried if not _with_parts(each, patterns, cut)))
    found: dict[tuple[Joinery, frozenset[Mate]], Meeting] = {}
    for meeting in (each for one in more for each in _resolved(one, patterns)):
        key = meeting.kind, meeting.pair
        known = found.get(key)
        found[key] = meeting if known is None else _joined(known, meeting)
    return tuple(found.values())


def _with_parts(
    meeting: Meeting, patterns: Sequence[Pattern], cut: Collection[tuple[Joinery, Mate, Mate]]
) -> bool:
    """Whether one that cuts what is made of several is carried by those of them that it cuts."""
    if not isinstance(meeting.on, OneOf) or not meeting.cuts:
        return False
    whole = meeting.on.whole
    return any(
        (meeting.kind, meeting.lands, pattern.name) in cut
        for pattern in patterns
        if whole in (pattern.name, pattern.part_of)
    )


def _joined(one: Meeting, two: Meeting) -> Meeting:
    """One meeting that two pieces carry."""
    return replace(
        one,
        keys=tuple(dict.fromkeys((*one.keys, *two.keys))),
        seats=(*one.seats, *(seat for seat in two.seats if seat not in one.seats)),
        slack=one.slack or two.slack,
    )


def _resolved(meeting: Meeting, patterns: Sequence[Pattern]) -> Iterator[Meeting]:
    """The same with each piece on which it lies of what is made of several; itself where it lies on none."""
    if not isinstance(meeting.on, OneOf):
        yield meeting
        return
    whole, found = meeting.on.whole, False
    for pattern in patterns:
        if whole in (pattern.name, pattern.part_of) and pattern.name != meeting.lands:
            seats = tuple(_on_piece(meeting, pattern))
            if seats:
                found = True
                yield replace(meeting, on=pattern.name, seats=seats)
    if not found:
        yield meeting


def _on_piece(meeting: Meeting, pattern: Pattern) -> Iterator[Seat]:
    """What of a landing lies on the faces of a piece."""
    for body in () if pattern.body is None or not meeting.seats else (pattern.body, *pattern.slabs):
        for plane, wood in ((body.plane, body.moulded), (body.plane.moved(body.depth), body.other)):
            for area in areas_on(meeting.seats, plane):
                on = overlays.intersection(area, wood)
                if on.area > CRUMB:
                    yield Seat(plane=plane, shape=on)


def areas_on(seats: Sequence[Seat], plane: Plane) -> Iterator[Any]:
    """The areas of a landing on a plane: faces as they are, of an edge what lies between its lines on two faces."""
    if all(shapely.area(seat.shape) > 0.0 for seat in seats):
        yield from (area for seat in seats if (area := seat.on(plane, within=ON_FACE)) is not None)
        return
    points = np.vstack([seat.points() for seat in seats])
    if float(np.abs(plane.height_over(points)).max()) <= ON_FACE:
        yield shapely.multipoints(plane.flat(points)).convex_hull


def off_their_wholes(meetings: Iterable[Meeting], patterns: Sequence[Pattern]) -> Iterator[Meeting]:
    """The landings of flat pieces on a frame or a transom that lie on none of its pieces."""
    placed = [pattern for pattern in patterns if pattern.body is not None]
    wholes = {name for pattern in placed for name in (pattern.name, pattern.part_of)}
    names = {pattern.name for pattern in placed}
    for meeting in meetings:
        if isinstance(meeting.on, OneOf) and meeting.on.whole in wholes and meeting.lands in names:
            yield meeting


def unheld(names: Iterable[str], meetings: Iterable[Meeting]) -> tuple[str, ...]:
    """The pieces that meet neither another piece nor planking: a deck or a mast alone holds nothing up."""
    pairs = (
        {mate for mate in meeting.pair if not isinstance(mate, Deck | NotMade)}
        for meeting in meetings
        if not isinstance(meeting.on, OneOf)
    )
    held = {mate for pair in pairs if len(pair) > 1 for mate in pair}
    return tuple(name for name in names if name not in held)
