"""Where a piece meets others: the meetings that it carries with their seats, and those of its edges on the hull."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import shapely

from patterns.wood.labels import Deck, Label, Planking
from patterns.wood.meeting import Joinery, Meeting, Seat
from patterns.wood.piece import Piece
from patterns.wood.placement import Mirrored

__all__ = ["met_by"]

LEAST = 1.0  # mm; a piece meets nothing along less edge


def met_by(piece: Piece) -> Iterator[Meeting]:
    """The meetings of a piece with their seats, and those of its edges that lie on planking or deck.

    One whose edges are not among its own is left out: the timber's notch lies on another part of the frame.
    """
    woods = piece.as_cut(0), piece.as_cut(1)

    def edge_seats(label: Label) -> Iterator[Seat]:
        if piece.flat:
            lines = (wood.lines(label) for wood in woods)
            yield from (_seat(piece, face, each) for face, each in enumerate(lines) if not each.is_empty)

    for meeting in piece.meetings:
        edges = [seat for label in meeting.edges for seat in edge_seats(label)]
        faces = [_seat(piece, face, woods[face].area) for face in meeting.faces]
        seats = (*meeting.seats, *edges, *faces)
        if not meeting.edges or any(shapely.length(seat.shape) > LEAST for seat in seats):
            yield replace(meeting, seats=seats)
    known = {meeting.on for meeting in piece.meetings}
    for label in dict.fromkeys(label for wood in woods for label in wood.palette):
        if isinstance(label, Planking | Deck) and label not in known:
            seats = tuple(edge_seats(label))
            if any(shapely.length(seat.shape) > LEAST for seat in seats):
                yield Meeting(kind=Joinery.EDGE, lands=piece.name, on=label, edges=(label,), seats=seats)


def _seat(piece: Piece, face: int, shape: Any) -> Seat:
    """A shape in a piece's own u and v, on one of its faces in the boat."""
    if isinstance(piece.placement, Mirrored):
        shape = shapely.transform(shape, lambda points: points * [-1.0, 1.0])
    return Seat(plane=piece.face_in_boat.moved(piece.on.sense * piece.stock.thickness * face), shape=shape)
