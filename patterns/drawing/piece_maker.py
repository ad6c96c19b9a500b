"""How pieces are made and drawn when they are asked for, so that what they are is known before they are drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from patterns.boat import Boat
from patterns.drawing.of_piece import pattern_of
from patterns.pattern import Pattern
from patterns.text.wood_facts import Template
from patterns.wood.piece import Piece

__all__ = ["PieceMaker"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceMaker:
    """What one entry of the design asks for; called, it gives the drawings.

    Attributes:
        make: gives the pieces.
        words: templates for the kinds of fact that are the member's own.
    """

    boat: Boat
    make: Callable[[], tuple[Piece, ...]]
    words: Mapping[str, Template] = field(default_factory=dict)

    def __call__(self) -> tuple[Pattern, ...]:
        """The record of each piece's drawing.

        Raises:
            PatternsError: a piece cannot be made.
        """
        return tuple(pattern_of(self.boat, piece, self.words) for piece in self.make())
