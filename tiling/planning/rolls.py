"""Patterns on paper from a roll: each on one page as long as it needs, on several where a page would be too long.

Every pattern has a file of its own, and all pages of a file are equally long.  Some viewers print all pages of a
file at the size of the first, so that pages of several lengths in one file come out fitted to a wrong length; and
whoever prints at the shop, and charges by the metre, can take one file after the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from tiling.drawing import Drawing
from tiling.drawing.tolerance import NOISE
from tiling.errors import TilingError
from tiling.layout.coverage import ink_pieces
from tiling.layout.page_selection import CLEAR
from tiling.paper import Page
from tiling.planning.plan import Piece, Plan, named_plans, plan_piece, unlike_labels

__all__ = ["plan_rolls", "roll_sheet"]

ROUND = 10.0  # mm; pages are whole centimetres long
LEAST = 120.0  # mm; a lower window has no room for marks and rulers
FOR_WORDS = (60.0, 160.0, 300.0)  # mm of length more than the strokes take, until the words have room


def roll_sheet(page: Page, length: float) -> Page:
    """The page of that length from the page's roll, mm; no longer than it may be."""
    whole = min(math.ceil(length / ROUND - NOISE) * ROUND, page.paper.height)
    return replace(page, paper=replace(page.paper, height=whole))


def plan_rolls(
    pieces: Sequence[Piece], page: Page, *, kept: Mapping[tuple[int, ...], Plan] = MappingProxyType({})
) -> tuple[Plan, ...]:
    """Lay every piece on pages of its own from a roll: the fewest, and then as short as is found.

    Args:
        page: of a roll; its paper's height is the greatest length that a page may have.
        kept: plans that are known, by the place of their piece among all.
    Raises:
        TilingError: there is no piece, nothing is drawn of one, or its words find no room.
    """
    if not pieces:
        raise TilingError("no piece is given to print")
    labels = unlike_labels(pieces)
    return named_plans(
        [
            kept.get((index,)) or _plan(piece, page, label)
            for index, (piece, label) in enumerate(zip(pieces, labels, strict=True))
        ]
    )


def _plan(piece: Piece, page: Page, label: str) -> Plan:
    """The plan with the fewest pages, then the least paper, whose words cross nothing; else where the fewest do."""
    best: tuple[tuple[int, int, float], Plan] | None = None
    trouble: TilingError | None = None
    for more in FOR_WORDS:
        for sheet in _sheets(piece.drawing, page, more):
            try:
                plan = plan_piece(piece, sheet, label=label)
            except TilingError as error:
                trouble = error
                continue
            count = len(plan.layout.tiles)
            rank = (sum(words.crosses for words in plan.words), count, count * sheet.height)
            if best is None or rank < best[0]:
                best = rank, plan
        if best is not None and best[0][0] == 0:
            break
    if best is None:
        assert trouble is not None
        raise trouble
    return best[1]


def _sheets(drawing: Drawing, page: Page, more: float) -> Iterator[Page]:
    """Pages as long as the drawing, or a share of it, needs along the roll: as it lies, and turned on its side."""
    if not drawing.paths and not drawing.discs:
        raise TilingError("nothing is drawn: a pattern needs a stroke or a disc")
    boxes = ink_pieces(drawing.needed()).boxes()
    sides = (boxes.high.max(axis=0) - boxes.low.min(axis=0)).tolist()
    _, y0, _, y1 = page.window
    beside = page.height - (y1 - y0)  # margins and the bottom strip
    most = y1 - y0
    for along in sides:
        need = along + 2.0 * CLEAR + more
        count = 1 if need <= most else math.ceil((need - page.overlap) / (most - page.overlap) - NOISE)
        window = (need + (count - 1) * page.overlap) / count
        yield roll_sheet(page, max(window, LEAST) + beside)
