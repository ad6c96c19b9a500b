"""A pram's bow transom and a double-ender's sternpost: made as at the other end of the boat turned round.

The boat is turned (x changes its sign), the piece is made as ever, and its pattern is turned back: what lay in the
profile is drawn mirrored, what lies athwartships keeps its shape and is seen from the other side.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from functools import partial

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError
from patterns.hull.turned import turned_hull, turned_plane
from patterns.joinery.wood import Wanted
from patterns.pattern import Body, Pattern, redrawn
from patterns.table.mirror import own_words, turned_design, turned_offsets, turned_words
from patterns.wood.ends import EndError
from patterns.wood.piece import Piece
from patterns.wood.turned import turned_piece

__all__ = ["from_the_other_end", "turned_back", "turned_boat"]

MIRROR = np.diag([-1.0, 1.0])


def turned_boat(boat: Boat) -> Boat:
    """The boat with her bow for her stern."""
    return replace(
        boat,
        design=turned_design(boat.design),
        offsets=turned_offsets(boat.offsets),
        hull=turned_hull(boat.hull),
    )


def from_the_other_end(pieces: Callable[[Boat], Iterator[Wanted]], boat: Boat) -> Iterator[Wanted]:
    """The pieces of a member at the other end."""
    names = {str(getattr(part, "name", "")) for part in boat.design.wanted}
    own = own_words(boat.design)
    for place, make in pieces(turned_boat(boat)):
        if isinstance(make, PieceMaker):
            yield place, _made_at_the_other_end(make, boat, names)
            continue
        yield turned_words(place, own=own), _turning(make, names, own)


def _made_at_the_other_end(maker: PieceMaker, boat: Boat, names: Collection[str]) -> PieceMaker:
    """The same pieces turned; those that the builder has not named say at which end they are."""

    def make() -> tuple[Piece, ...]:
        try:
            made = maker.make()
        except EndError as error:
            raise error.turned() from error
        except PatternsError as error:  # of the boat's lines and timbers, whose errors are words yet
            raise PatternsError(turned_words(str(error), own=own_words(boat.design))) from error
        return tuple(
            replace(
                turned_piece(piece),
                name=piece.name if piece.name in names else f"{piece.name} at the sternpost",
            )
            for piece in made
        )

    return replace(maker, boat=boat, make=make)


def _turning(
    make: Callable[[], tuple[Pattern, ...]], names: Collection[str], own: Collection[str]
) -> Callable[[], tuple[Pattern, ...]]:
    """The same piece turned back; the builder's own names of pieces and all other texts of his stay."""

    def made() -> tuple[Pattern, ...]:
        try:
            return tuple(
                replace(turned_back(pattern, own=own), name=_name_of(pattern.name, names, own))
                for pattern in make()
            )
        except PatternsError as error:
            raise PatternsError(turned_words(str(error), own=own)) from error

    return made


def _name_of(name: str, names: Collection[str], own: Collection[str]) -> str:
    """The name of a piece of the other end; what is made at both ends says at which it stands."""
    if name in names:
        return name
    other = turned_words(name, own=own)
    return other if other != name else f"{name} at the sternpost"


def turned_back(pattern: Pattern, *, own: Collection[str] = ()) -> Pattern:
    """The pattern of a piece of the turned boat as it is in the boat herself.

    Args:
        own: the builder's own texts, which are never turned.
    """
    turned = partial(turned_words, own=own)
    in_profile = set(pattern.sides[:2]) == {"AFT", "FORWARD"}
    right, left, top = pattern.sides
    drawn = pattern if pattern.half else redrawn(pattern, MIRROR)
    words = {
        "name": turned(pattern.name),
        "part_of": turned(pattern.part_of),
        "face": turned(pattern.face),
        "behind": turned(pattern.behind),
        "facts": tuple(turned(fact) for fact in pattern.facts),
        "lines": tuple(replace(line, name=turned(line.name)) for line in drawn.lines),
        "marks": tuple(replace(mark, name=turned(mark.name)) for mark in drawn.marks),
        "behind_marks": tuple(replace(mark, name=turned(mark.name)) for mark in drawn.behind_marks),
        "spans": tuple(replace(span, name=turned(span.name)) for span in drawn.spans),
        "readings": tuple(replace(r, where=turned(r.where)) for r in drawn.readings),
        "behind_readings": tuple(replace(r, where=turned(r.where)) for r in drawn.behind_readings),
        "sides": (right, left, top) if in_profile else (left, right, turned(top)),
        "siding": pattern.siding if in_profile else -pattern.siding,
        "body": None if pattern.body is None else _body(pattern.body, in_profile=in_profile),
        "slabs": tuple(_body(slab, in_profile=in_profile) for slab in pattern.slabs),
    }
    if pattern.plane is not None and not in_profile:
        words["plane"] = turned_plane(pattern.plane)
    # The profile's plane keeps its u, which runs aft: the wood is mirrored in it, not its drawing.
    if in_profile:
        words["view"] = pattern.view
        words["edges"] = tuple(replace(edge, uv=edge.uv @ MIRROR) for edge in pattern.edges)
    return replace(drawn, **words)  # type: ignore[arg-type]


def _body(body: Body, *, in_profile: bool) -> Body:
    """The wood where it stands; in a plane of the profile u keeps running aft, so the areas are mirrored."""
    if not in_profile:
        return replace(body, plane=turned_plane(body.plane), depth=-body.depth)
    flipped = [
        shapely.transform(area, lambda points: points * np.array([-1.0, 1.0]))
        for area in (body.moulded, body.other)
    ]
    return replace(body, moulded=flipped[0], other=flipped[1])
