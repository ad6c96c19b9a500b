"""Pieces cut and marked by the meetings that they take part in.

A member is made as if it were alone; what timbers fore and aft take out of it is cut here, whatever kind it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import ON_CENTRE
from patterns.hull.curved import Curved
from patterns.joinery.laps import laps_in
from patterns.wood.ends import Way
from patterns.wood.facts import Fact
from patterns.wood.features import Note, Scribed
from patterns.wood.levels import NEAR, Slot, with_slots
from patterns.wood.meeting import CRUMB, Joinery, Loss, Meeting, OneOf
from patterns.wood.piece import Hand, Piece, Role
from patterns.wood.region import Area, Region

__all__ = ["let_in"]

UNCUT = (Role.TOOL, Role.TRIAL, Role.AWAY)


def let_in(boat: Boat, piece: Piece) -> Piece:
    """A piece with everything cut out of it that the design lets into it; one that is cut already stays as it is.

    Raises:
        PatternsError: a cut parts it, or goes through neither of its faces.
    """
    if not piece.flat or isinstance(piece.on.face, Curved) or piece.role in UNCUT:
        return piece
    carried = {(each.kind, each.lands, each.on) for each in piece.meetings}
    found = [
        own
        for meeting in laps_in(boat, piece.name, piece.part_of)
        for own in (_own(meeting, piece),)
        if own is not None and (own.kind, own.lands, own.on) not in carried
    ]
    cuts = [(meeting, slot) for meeting in found for slot in _slots(piece, meeting)]
    taking = [(meeting, slot) for meeting, slot in cuts if _takes(piece, slot)]
    slots = [slot for _, slot in taking]
    made = with_slots(piece, slots)
    _whole(piece, made, taking)
    meetings = [_carried(piece, meeting, taking) for meeting in found]
    moulded, other = (
        replace(
            face,
            notes=(*face.notes, *_notes(piece, number, taking)),
            scribed=(*face.scribed, *_shoulders(made, taking)),
        )
        for number, face in enumerate(made.faces)
    )
    return replace(
        made,
        faces=(moulded, other),
        flips=_flips(piece, made),
        meetings=(*made.meetings, *(each for each in meetings if each is not None)),
    )


def _own(meeting: Meeting, piece: Piece) -> Meeting | None:
    """A meeting as this piece has its part in it; None where only a face of some piece of its whole is met."""
    if not isinstance(meeting.on, OneOf):
        return meeting
    if meeting.lands == piece.name:  # a notch in a plate on a piece is the plate's
        return None if meeting.kind is Joinery.NOTCH else meeting
    if not meeting.cuts:
        return None
    whole = meeting.on.whole
    cuts = tuple(replace(cut, piece=piece.name) if cut.piece == whole else cut for cut in meeting.cuts)
    return replace(meeting, on=piece.name, cuts=cuts)


def _slots(piece: Piece, meeting: Meeting) -> Iterator[Slot]:
    """What a meeting takes out of it, as far as that lies between its faces."""
    cut = meeting.cut(piece.name)
    if cut is not None and cut.space:
        slot = Slot.of(piece, cut.space, cut.against)
        if slot is not None:
            yield slot


def _takes(piece: Piece, slot: Slot) -> bool:
    """Whether a slot takes wood from one of its faces, or of the level that is nearest to it."""
    on = piece.on
    for number, depth in ((0, slot.low), (1, slot.high)):
        wood = piece.faces[number].region.area
        area = slot.area(on.face.moved(on.sense * depth))
        if float(overlays.intersection(area, wood).area) > CRUMB:
            return True
    return False


def _whole(piece: Piece, made: Piece, taking: Sequence[tuple[Meeting, Slot]]) -> None:
    """See that a cut leaves the piece in one.

    Raises:
        PatternsError: it does not.
    """
    on = piece.on
    for meeting, slot in taking:
        for number, depth in ((0, 0.0), (1, piece.stock.thickness)):
            whole = piece.faces[number].region
            left = whole.minus(slot.region(on.face.moved(on.sense * depth)))
            more = len(left.parts(least=CRUMB)) > len(whole.parts(least=CRUMB))
            # Of a piece that is alike on both sides one half is drawn: cut off its centreline, it is in two.
            halved = (
                piece.hand is Hand.CENTRE and _at_centreline(whole.area) and not _at_centreline(left.area)
            )
            if slot.through(piece) and (more or halved):
                raise PatternsError(
                    f"the notch for {meeting.other(piece.name)}, {meeting.depth:g} mm deep, cuts it in two; make "
                    "let_in less or it deeper"
                )


def _at_centreline(half: Area) -> bool:
    """Whether a half reaches the centreline."""
    return not half.is_empty and float(half.bounds[0]) < NEAR


def _carried(piece: Piece, meeting: Meeting, taking: Sequence[tuple[Meeting, Slot]]) -> Meeting | None:
    """The meeting as the piece carries it: a cut that stops in the wood as a halving; none that misses it."""
    slot = next((slot for each, slot in taking if each is meeting), None)
    others = tuple(cut for cut in meeting.cuts if cut.piece != piece.name)
    own = meeting.cut(piece.name)
    if slot is None:
        part = piece.part_of and meeting.on == piece.name != piece.part_of
        return None if part and own is not None else replace(meeting, cuts=others)
    if slot.through(piece) or own is None:
        return meeting
    face = _open_face(piece, slot)
    on = piece.on
    area = slot.area(on.face.moved(on.sense * piece.stock.thickness * face))
    halved = Loss(piece=piece.name, against=own.against, halving=(area, face))
    return replace(meeting, cuts=(*others, halved))


def _open_face(piece: Piece, slot: Slot) -> int:
    """The face from which a slot is cut that does not go through.

    Raises:
        PatternsError: it is in the middle of the wood.
    """
    if slot.low < NEAR or (piece.planed is not None and slot.low <= piece.planed[0]):
        return 0
    if slot.high > piece.stock.thickness - NEAR:
        return 1
    raise PatternsError(
        f"the housing for {slot.against} lies between its faces; make it through, or open to one face"
    )


def _notes(piece: Piece, number: int, taking: Sequence[tuple[Meeting, Slot]]) -> Iterator[Note]:
    """What is written at the cuts that go through, on one face."""
    on, region = piece.on, piece.faces[number].region
    plane = on.face.moved(on.sense * piece.stock.thickness * number)
    for meeting, slot in taking:
        note = meeting.note(piece.name, plane, region) if slot.through(piece) else None
        if note is not None:
            yield note


def _shoulders(piece: Piece, taking: Sequence[tuple[Meeting, Slot]]) -> Iterator[Scribed]:
    """The lines at which housings begin; only the longest of each is named."""
    on = piece.on
    for meeting, slot in taking:
        if slot.through(piece):
            continue
        face = _open_face(piece, slot)
        wood = piece.faces[face].region.area.buffer(-0.05)
        depth = slot.high if face == 0 else piece.stock.thickness - slot.low
        values = {
            "other": meeting.other(piece.name),
            "depth": depth,
            "face": _face_word(piece, face),
            "planed": piece.planed is not None and face == 0,
        }
        edge = slot.area(on.face.moved(on.sense * piece.stock.thickness * face)).boundary
        runs = shapely.get_parts(shapely.line_merge(overlays.intersection(edge, wood)))
        for i, run in enumerate(sorted(runs, key=lambda run: -float(run.length))):
            fact = Fact("housing-edge" if i else "housing", {} if i else values)
            yield Scribed(fact=fact, points=shapely.get_coordinates(run))


def _face_word(piece: Piece, face: int) -> Any:
    """What a face is called: by the end of the boat that it looks to, or as upper or under."""
    out = -piece.on.siding if face == 0 else piece.on.siding
    if abs(out[2]) > abs(out[0]):
        return "upper" if out[2] > 0.0 else "under"
    return Way.AFT if out[0] > 0.0 else Way.FORWARD


def _flips(piece: Piece, made: Piece) -> tuple[float, ...]:
    """The flip points of a piece across the centreline, moved to where its wood now ends there."""
    if piece.hand is not Hand.CENTRE or not piece.flips:
        return piece.flips
    was, now = _reach(piece.saw()), _reach(made.saw())
    if was is None or now is None:
        return piece.flips
    ends = dict(zip(was, now, strict=True))
    return tuple(
        next((to for at, to in ends.items() if abs(at - flip) < ON_CENTRE), flip) for flip in piece.flips
    )


def _reach(half: Region) -> tuple[float, float] | None:
    """The lowest and the highest of the wood on the centreline."""
    points: Any = np.asarray(half.area.exterior.coords)
    on = points[np.abs(points[:, 0]) < ON_CENTRE, 1]
    return (float(on.min()), float(on.max())) if len(on) else None
