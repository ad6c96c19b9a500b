"""Small pieces on common pages, each in a fenced box with its own words, where that saves pages.

Each is first given the smallest box in which all its words find room clear of its strokes; then the boxes are laid
on sheets, the largest first, each on the sheet whose pieces are made nearest before or after it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from tiling.distances.checks import seams_between, targets_of
from tiling.drawing import Distance, Drawing
from tiling.drawing.affine import Affine
from tiling.errors import TilingError
from tiling.layout.coverage import ink_boxes
from tiling.layout.fences import ROWS, Fenced, FencedSheet, SheetKind, columns_of, sheet_layout
from tiling.layout.page_layout import PageLayout
from tiling.layout.shared_pages import Shared
from tiling.paper import Box, Page
from tiling.planning.piece_plan import Aids, Alone, Plan, crossing, plan_on, together
from tiling.text.text_block import block_of

__all__ = ["fenced_plans"]

PAGES = 2  # a piece that needs more is laid alone
AROUND = 5.0  # mm between the outline and the fence, at least
TURNS = (0, 1)  # quarters by which a piece may be turned
WORDY = 1.3  # times the words' own area is the least room for them
STEP = 2  # rows between the sizes that are tried
APART = 8  # places in the order of work; pieces that are made farther apart share no page
TRIED = 8  # boxes that are tried for a piece
ROOMY = np.array([120.0, 45.0])  # mm across and up; a box that is larger than its piece by more
BESIDE = np.array([36.0, 16.0])  # mm left for words on the left of the piece and below it then


def fenced_plans(alone: Sequence[Alone], page: Page) -> dict[tuple[int, ...], Plan]:
    """Plans of those pieces that share pages, by their places among all."""
    sized = {
        index: found
        for index, each in enumerate(alone)
        if len(each.layout.tiles) <= PAGES and not each.piece.alone
        if (found := _smallest(each, page)) is not None
    }
    plans: dict[tuple[int, ...], Plan] = {}
    for sheet in _sheets(sized, columns_of(page)):
        members = sorted(number for number, _, _ in sheet.lies)
        if len(members) > 1 and sheet.pages < sum(len(alone[index].layout.tiles) for index in members):
            plan = _plan_of(sheet, alone, sized, page)
            if plan is not None:
                plans[tuple(members)] = plan
    return plans


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sized:
    """How a piece lies in its box: by how many quarters it is turned, and how large the box is."""

    quarters: int
    size: Fenced


def _sheets(sized: dict[int, _Sized], columns: int) -> list[FencedSheet]:
    """The boxes on sheets whose pages have so many columns."""
    sheets: list[FencedSheet] = []
    order = sorted(
        sized, key=lambda index: (sized[index].size.kind == (1, 1), -sized[index].size.fields, index)
    )
    for index in order:
        size = sized[index].size
        apart = [(max(abs(number - index) for number, _, _ in sheet.lies), sheet) for sheet in sheets]
        near = [sheet for far, sheet in sorted(apart, key=lambda pair: pair[0]) if far <= APART]
        if not any(sheet.add(index, size) for sheet in near):
            sheet = FencedSheet(kind=size.kind, columns=columns)
            sheet.add(index, size)
            sheets.append(sheet)
    return sheets


def _smallest(each: Alone, page: Page) -> _Sized | None:
    """The smallest box in which all words of a piece find room; None where there is none."""
    bounds = {turn: _bounds(each.piece.drawing, turn) for turn in TURNS}
    words = _area_of_words(each.piece.drawing, page)
    tried = 0
    crossed: tuple[int, _Sized] | None = None
    for size in _sizes(len(each.layout.tiles), columns_of(page)):
        for turn in TURNS:
            x0, y0, x1, y1 = size.box(page, (0, 0, 0), size.kind)
            wide, tall = (bounds[turn][1] - bounds[turn][0] + 2.0 * AROUND).tolist()
            if wide > x1 - x0 or tall > y1 - y0 or (x1 - x0) * (y1 - y0) < WORDY * words:
                continue
            tried += 1
            sheet = FencedSheet(kind=size.kind, columns=columns_of(page))
            sheet.add(0, size)
            sized = _Sized(quarters=turn, size=size)
            plan = _plan_of(sheet, [each], {0: sized}, page)
            if plan is not None and not crossing(plan):
                return sized
            if plan is not None and (crossed is None or crossing(plan) < crossed[0]):
                crossed = crossing(plan), sized
        if tried >= TRIED:
            break
    # On a page of its own as many words may lie across its strokes.
    return crossed[1] if crossed is not None and crossed[0] <= crossing(each.plan) else None


def _sizes(pages: int, most: int) -> list[Fenced]:
    """Sizes of a box over so many pages, the least fields first.

    Args:
        most: columns of a page.
    """
    rows = range(STEP, ROWS + 1, STEP)
    kinds: list[tuple[SheetKind, Sequence[int], Sequence[int]]] = [
        ((1, 1), range(1, most + 1), rows),
        ((1, 2), (most,), rows),
        ((2, 1), range(1, most + 1), (ROWS,)),
    ]
    found = [
        Fenced(kind=kind, columns=columns, rows=rows)
        for kind, across, up in kinds
        if kind[0] * kind[1] == pages
        for columns, rows in product(across, up)
    ]
    return sorted(found, key=lambda size: size.fields)


def _bounds(drawing: Drawing, quarters: int) -> tuple[np.ndarray, np.ndarray]:
    """Lower left and upper right corner of all ink that wants a page, turned by so many quarters."""
    ink = ink_boxes(drawing.needed(), place=_turned(quarters))
    return ink.low.min(axis=0), ink.high.max(axis=0)


def _turned(quarters: int) -> Affine:
    return Affine.quarter_turn() if quarters else Affine()


def _area_of_words(drawing: Drawing, page: Page) -> float:
    x0, y0, x1, y1 = page.window
    notes = [replace(note, text=note.short or note.text) for note in drawing.notes]
    sizes = [block_of(0, note, Affine(), (x1 - x0, y1 - y0)).size for note in notes]
    return sum(wide * tall for wide, tall in sizes)


def _plan_of(sheet: FencedSheet, alone: Sequence[Alone], sized: dict[int, _Sized], page: Page) -> Plan | None:
    """The plan of a sheet; None where words find no room."""
    lies = sorted(sheet.lies, key=lambda lie: lie[0])
    members = [alone[number] for number, _, _ in lies]
    fences = tuple(size.box(page, at, sheet.kind) for _, size, at in lies)
    turns = [sized[number].quarters for number, _, _ in lies]
    shared = Shared(
        members=tuple(number for number, _, _ in lies),
        places=tuple(
            _into(fence, each.piece.drawing, turn)
            for fence, each, turn in zip(fences, members, turns, strict=True)
        ),
        rooms=(),
        choices=tuple(
            " ".join(map(str, (turn, *size.kind, size.columns, size.rows, *at)))
            for turn, (_, size, at) in zip(turns, lies, strict=True)
        ),
        fences=fences,
    )
    drawing = shared.drawing([each.piece.drawing for each in members])
    piece = together([each.piece for each in members], [each.label for each in members], drawing)
    layout = sheet_layout(page, sheet.kind, ink_boxes(drawing))
    try:
        plan = plan_on(piece, piece.name, layout, Aids(distances=tuple(_distances(shared, members, layout))))
    except TilingError:
        return None
    saved = sum(each.layout.plain for each in members) - len(layout.tiles)
    return replace(plan, saved=saved, shared=shared)


def _distances(shared: Shared, members: Sequence[Alone], layout: PageLayout) -> Iterator[Distance]:
    """The long distances of each piece that cross the joint: within one page they prove no more than the ruler."""
    for each, place, fence in zip(members, shared.places, shared.fences, strict=True):
        one = Shared(members=(0,), places=(place,), rooms=(), choices=("",), fences=(fence,))
        for gap in targets_of(one.drawing([each.piece.drawing]), taped=len(layout.tiles) > 1):
            if seams_between(layout, gap.start, gap.end):
                yield gap


def _into(fence: Box, drawing: Drawing, quarters: int) -> Affine:
    """Turned, in the middle of a box; where that is much larger, to its left and at its foot, so that what is left
    of it lies together."""
    low, high = _bounds(drawing, quarters)
    spare = np.subtract(fence[2:], fence[:2]) - (high - low)
    x, y = (fence[:2] + np.where(spare > ROOMY, BESIDE, 0.5 * spare) - low).tolist()
    return _turned(quarters).then(Affine.shift(x, y))
