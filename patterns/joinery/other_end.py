"""A pram's bow transom and a double-ender's sternpost: made as at the other end of the boat turned round.

The boat is turned (x changes its sign), the piece is made as ever, and is turned back before it is drawn (see
`patterns.wood.turned`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace

from patterns.boat import Boat
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import TimberError
from patterns.hull.sections import OffHullError
from patterns.hull.turned import turned_hull
from patterns.joinery.wood import Wanted
from patterns.table.mirror import turned_design, turned_offsets
from patterns.wood.ends import EndError, EndText, turned_text
from patterns.wood.piece import Piece
from patterns.wood.turned import turned_piece

__all__ = ["from_the_other_end", "turned_boat"]

NOT_TURNED = (
    "it can be laid in the boat, but not with her turned end for end, as the pieces of this end need it; "
    "check the offsets near her ends"
)


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
    for place, make in pieces(turned_boat(boat)):
        assert isinstance(make, PieceMaker)
        yield turned_text(place), _made_at_the_other_end(make, boat, names)


def _made_at_the_other_end(maker: PieceMaker, boat: Boat, names: Collection[str]) -> PieceMaker:
    """The same pieces turned; those that the builder has not named say at which end they are."""

    def make() -> tuple[Piece, ...]:
        try:
            made = maker.make()
        except (EndError, OffHullError) as error:
            raise error.turned() from error
        except TimberError as error:
            _ = boat.runs  # it fails in the boat as she is as well, and what is wrong is said of her
            raise TimberError(error.timber, NOT_TURNED) from error
        return tuple(_at_its_end(turned_piece(piece), names) for piece in made)

    return replace(maker, boat=boat, make=make)


def _at_its_end(piece: Piece, names: Collection[str]) -> Piece:
    """The piece with a name that is not that of the one at the other end."""
    if isinstance(piece.name, EndText) or piece.name in names:
        return piece
    return replace(piece, name=f"{piece.name} at the sternpost")
