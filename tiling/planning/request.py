"""What is asked for: a job of pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from tiling.drawing import Drawing, Figure
from tiling.paper import Page
from tiling.paper.printers import Correction
from tiling.planning.card import Card, Whole
from tiling.planning.previous_runs import PreviousRuns
from tiling.text.lines import elided, plain
from tiling.text.typeface import printable

__all__ = ["Job", "Legend", "Piece", "Share", "unlike_labels"]

Share = Literal["apart", "fenced", "nested"]
"""Which pieces share pages: none; those that fit on one page or two, each in a box of its own; or all small ones,
laid among one another."""

LABEL = 90.0  # mm; a piece's name is elided to this on its pages, so that the rest of the line stays readable
LETTERING = 3.5  # height of a capital there, mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One thing to be made from one taped pattern.

    Attributes:
        name: as printed on all of its pages.
        card: what is said of it besides its map.
        whole: what it is put together to with other pieces, the same value for each of them; None: nothing.
        drawing: mm.
        made_from: whatever shapes the drawing, as it was given before anything was computed: two drawings that
            differ have different ones.  The piece's mark is made of it; what it says does not matter here.
        of: the name of the piece on whose card it is a line, where it is on one page; empty: it has a card.
        parts: the pieces that it is laid together of; empty where it is one.
        alone: it shares no page with others, as it is wanted before them.
        square: it is laid square to the pages, without a search for fewer.
    """

    name: str
    drawing: Drawing
    made_from: str
    card: Card = field(default_factory=Card)
    whole: Whole | None = None
    of: str = ""
    parts: tuple[Piece, ...] = ()
    alone: bool = False
    square: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Legend:
    """What the signs on all pieces mean, said once for a file: a heading, a picture and paragraphs beside it.

    Attributes:
        figure: its words are as high as a line of the first pages.
    """

    heading: str
    figure: Figure
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Job:
    """Everything that goes into one file.

    Attributes:
        title: printed on every page (the boat's name).
        mark: short, of the file as a whole: its first pages carry it, and every pattern has one of its own.
        pieces: in the order in which they are made and printed; one at least.
        page: the paper and how pages join.
        cautions: printed on the first pages.
        first_piece: name of the piece to be made first, as a cheap template; None: none is proposed.
        correction: of the printer that will print it; None: drawn at the very scale.
        share: which pieces may share pages where that saves any.
        roll: the page from a roll that the patterns are on, one by one as long as they need; ``page`` is then that
            of the first pages alone.  None: all are on ``page``.
        search: a piece may be turned by any angle and its rows of pages shifted, where that saves pages.
        asides: layers of what is no outline: where they alone differ in a design that has not changed, by another
            version of a program, pages still belong together.
        legends: what the signs on the pieces mean, for the first pages.
        former: what earlier runs laid: a piece that has not changed since keeps its mark and its pages.
    """

    title: str
    mark: str
    pieces: tuple[Piece, ...]
    page: Page
    cautions: tuple[str, ...] = ()
    first_piece: str | None = None
    correction: Correction | None = None
    share: Share = "fenced"
    search: bool = False
    roll: Page | None = None
    asides: frozenset[str] = frozenset()
    legends: tuple[Legend, ...] = ()
    former: PreviousRuns = field(default_factory=PreviousRuns)


def unlike_labels(pieces: Sequence[Piece]) -> list[str]:
    """The pieces' names for their pages: plain, elided, and no two alike."""
    found: list[str] = []
    for place, piece in enumerate(pieces, start=1):
        label = elided(printable(plain(piece.name)) or f"piece {place}", LABEL, LETTERING)
        if label.casefold() in {other.casefold() for other in found}:
            label = f"{label} ({place})"
        found.append(label)
    return found
