"""Words find their places: near what they speak of, off the strokes, whole on some page.

Around each target a fixed set of places is weighed, all notes at once; then the notes are placed one
after the other, each in the best of its places that no earlier words have taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np
import shapely

from tiling.drawing import ROOM, XY, Drawing, FloatArray, Note
from tiling.drawing.affine import Affine
from tiling.errors import TilingError
from tiling.layout.coverage import InkBoxes, ink_boxes
from tiling.layout.page_layout import PageLayout
from tiling.lettering.free_space import (
    SEEN,
    Ground,
    cell_size,
    ground_of,
    ground_within,
    ink_raster,
    open_ground,
)
from tiling.lettering.label_positions import Field, LabelPositions, reach_of
from tiling.lettering.taken import OUTLINE, Taken, outlines_of, tangled
from tiling.paper import Box
from tiling.text.lines import BODY
from tiling.text.text_block import TextBlock, block_of, narrower
from tiling.text.typeface import printable, text_width

__all__ = ["TextLine", "Words", "letter", "letter_open"]

LEADER_FROM = 3.0  # mm; words nearer to their target than this need no leader
FAR = 60.0  # mm; a leader that is longer, over other things, is worse than one that runs through a word
SMALL = 2.5  # height of a capital where words in their own size have no room, mm
ANY_SIZE = (np.inf, np.inf)
UNTANGLED = 3  # times that words are moved out of the way of leaders near by, before they are moved farther
HOME = (60.0, np.inf)  # mm from their target that words look for a place at home: at last in all of it
INSIDE = 1.5  # mm between a fence and words


@dataclass(frozen=True, slots=True, kw_only=True)
class TextLine:
    """One line of words.

    Attributes:
        text: what is printed (characters that the font lacks already replaced).
        at: left end of the base line, grid coordinates.
        width: mm.
    """

    text: str
    at: XY
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One note in its place, grid coordinates.

    Attributes:
        note: index of the note in the drawing.
        lines: from the top; those of a figure come last.
        height: height of a capital, mm.
        box: everything that is printed of the lines, mm.
        leader: from the target to the words, where one is drawn.
        figure: lower left corner of the note's figure, grid coordinates; None where it has none.
        tile: index of a tile in whose window all the lines stand (-1 without pages).
        straddles: a trim line runs through the words.
        crosses: a stroke or a match mark runs through the words, since no free place was in reach.
    """

    note: int
    lines: tuple[TextLine, ...]
    height: float
    box: Box
    leader: tuple[XY, XY] | None
    figure: XY | None
    tile: int
    straddles: bool
    crosses: bool

    @property
    def reach(self) -> float:
        """How long the leader is, mm; 0 without one."""
        return 0.0 if self.leader is None else math.dist(*self.leader)


def letter(drawing: Drawing, layout: PageLayout) -> tuple[Words, ...]:
    """Place every note of a drawing on its pages; in the order of the notes.

    Words stand level on the page however the drawing is turned.  They never overlap other words, and each
    stands whole in the window of a kept page.  A line too long for a page is broken.  Where things are fenced the
    words of each stay in its box.

    Raises:
        TilingError: words for which there is no room on the pages.
    """
    ground = ground_of(layout)
    if not drawing.fences:
        return _place(drawing, layout.to_grid, ground)
    found: list[Words] = []
    for number, fence in enumerate(drawing.fences):
        which = [i for i, note in enumerate(drawing.notes) if _belongs(note, number, fence)]
        part = replace(drawing, notes=tuple(drawing.notes[i] for i in which))
        low, high = layout.to_grid.at(fence[:2]), layout.to_grid.at(fence[2:])
        box = (low[0] + INSIDE, low[1] + INSIDE, high[0] - INSIDE, high[1] - INSIDE)
        placed = _place(part, layout.to_grid, ground_within(ground, box))
        found += (replace(words, note=which[words.note]) for words in placed)
    return tuple(sorted(found, key=lambda words: words.note))


def _belongs(note: Note, number: int, fence: Box) -> bool:
    """Whether a note is one of those of a fenced thing: it says so, or it speaks of a place in its box."""
    x, y = note.target
    return note.room == number if note.room >= 0 else fence[0] < x < fence[2] and fence[1] < y < fence[3]


def letter_open(drawing: Drawing, box: Box) -> tuple[Words, ...]:
    """Place every note of a drawing on one large sheet.

    Args:
        box: the sheet, in the drawing's coordinates; words stand whole within it.
    Returns:
        As ``letter``, in the drawing's coordinates.
    """
    x0, y0, _, _ = box
    words = _place(drawing, Affine.shift(-x0, -y0), open_ground(box))
    return tuple(_shifted(word, x0, y0) for word in words)


def _shifted(words: Words, x: float, y: float) -> Words:
    def moved(point: XY) -> XY:
        return point[0] + x, point[1] + y

    return replace(
        words,
        lines=tuple(replace(line, at=moved(line.at)) for line in words.lines),
        box=(*moved(words.box[:2]), *moved(words.box[2:])),
        leader=None if words.leader is None else (moved(words.leader[0]), moved(words.leader[1])),
        figure=None if words.figure is None else moved(words.figure),
        tile=-1,
    )


def _place(drawing: Drawing, to_grid: Affine, ground: Ground) -> tuple[Words, ...]:
    if not drawing.notes:
        return ()
    room = ground.size
    blocks = [block_of(i, note, to_grid, room) for i, note in enumerate(drawing.notes)]
    blocks.sort(key=lambda block: (block.note.rank, block.index))
    cell = cell_size(ground)
    ink = ink_boxes(drawing, piece=cell, place=to_grid)
    rooms = [
        ink_raster(_room_boxes(squares, to_grid), ground, cell=cell, marks=False) for squares in drawing.rooms
    ]
    heavy = ink_raster(ink_boxes(_heavy(drawing), piece=cell, place=to_grid), ground, cell=cell)
    field = Field(ground, ink_raster(ink, ground, cell=cell), heavy, rooms)
    outlines = outlines_of(drawing, to_grid)
    placed: list[Words] = []
    taken = Taken(len(blocks), outlines)
    for block, places in zip(blocks, field.near(blocks), strict=True):
        words = _at_home(block, to_grid, field, taken) or _settled(block, places, to_grid, field, taken)
        if words is None:
            raise TilingError(
                f"there is no room for the words {block.note.text!r} on the pages; take a larger paper"
            )
        taken.add(words.box, words.leader)
        placed.append(words)
    for _ in range(UNTANGLED):
        if not _untangle(placed, blocks, to_grid, field, outlines):
            break  # another round would find the same
    _untangle(placed, blocks, to_grid, field, outlines, farther=True)
    return tuple(sorted(placed, key=lambda words: words.note))


def _heavy(drawing: Drawing) -> Drawing:
    """Outlines and discs; all there is where there are none."""
    paths = tuple(path for path in drawing.paths if path.stroke.width >= OUTLINE)
    return Drawing(paths=paths, discs=drawing.discs) if paths or drawing.discs else drawing


def _untangle(
    placed: list[Words],
    blocks: Sequence[TextBlock],
    to_grid: Affine,
    field: Field,
    outlines: FloatArray,
    *,
    farther: bool = False,
) -> bool:
    """Move words away from where a leader runs through them, or theirs through others, as far as there is room.

    Those placed early could not know which leaders would come, those placed late had no choice any more.

    Returns:
        Whether any were moved.
    """
    moved = False
    for index in tangled([words.box for words in placed], [words.leader for words in placed]):
        others = Taken(len(placed), outlines)
        for number, words in enumerate(placed):
            if number != index:
                others.add(words.box, words.leader)
        found = _clear_place(blocks[index], to_grid, field, others, farther=farther)
        worse = found is not None and found.crosses and not placed[index].crosses
        if found is not None and not worse and found.reach <= max(FAR, placed[index].reach):
            moved = moved or found != placed[index]
            placed[index] = found
    return moved


def _clear_place(
    block: TextBlock, to_grid: Affine, field: Field, others: Taken, *, farther: bool
) -> Words | None:
    """The words, broken if need be, where no leader runs through any: near by, or farther off."""
    words = _at_home(block, to_grid, field, others) or _clear_near(block, to_grid, field, others)
    if words is None and (farther or not block.note.leader):
        words = _settle(block, field.farther(block), others, clear=True)
    return words


def _room_boxes(squares: FloatArray, to_grid: Affine) -> InkBoxes:
    ends = np.stack([to_grid.apply(squares), to_grid.apply(squares + ROOM)])
    return InkBoxes(low=ends.min(axis=0) + 0.01, high=ends.max(axis=0) - 0.01)


def _at_home(block: TextBlock, to_grid: Affine, field: Field, taken: Taken) -> Words | None:
    """Words in what they speak of, broken if need be; None where that has no room, or they have no such home."""
    if not block.note.home:
        return None
    home = shapely.Polygon(to_grid.apply(np.array(block.note.home))).buffer(0.0)
    shapely.prepare(home)
    for shape in _shapes(block, to_grid):
        for within in HOME:
            words = _settle(shape, field.at_home(shape, home, taken, within=within), taken, clear=True)
            if words is not None:
                return words
    return None


def _settled(
    block: TextBlock, places: LabelPositions, to_grid: Affine, field: Field, taken: Taken
) -> Words | None:
    """The words near by, or as near as there is room.

    Words with a leader are rather broken than far from what they speak of; others, as names, rather stay whole.
    """
    if block.note.leader:
        words = _settle(block, places, taken, clear=True) or _clear_near(block, to_grid, field, taken)
    else:
        words = _settle(block, places, taken)
    return words or _settle_farther(block, to_grid, field, taken)


def _clear_near(block: TextBlock, to_grid: Affine, field: Field, taken: Taken) -> Words | None:
    """The words where their leader is short and runs through nothing, at any of the places that they may lead to.

    Where they have no room as they are they are broken, then set smaller, at last laid over fine strokes.
    """
    targets = [np.array(to_grid.at(place)) for place in (block.note.target, *block.note.also)]
    reach = reach_of(block)

    def nearest(shape: TextBlock, *, over_fine: bool) -> Words | None:
        found = []
        for target in targets:
            moved = replace(shape, target=target)
            places = field.around(moved, reach, taken, over_fine=over_fine)
            words = _settle(moved, places, taken, clear=True)
            if words is not None:
                found.append(words)
        return min(found, key=lambda words: words.reach, default=None)

    tried: dict[tuple[float, tuple[str, ...]], TextBlock] = {}
    for shape in chain(_broken(block, to_grid), _smaller(block, to_grid)):
        key = shape.note.height, shape.texts
        if key not in tried:
            tried[key] = shape
            words = nearest(shape, over_fine=False)
            if words is not None:
                return words
    every = (nearest(shape, over_fine=True) for shape in tried.values())
    return next((words for words in every if words is not None), None)


def _shapes(block: TextBlock, to_grid: Affine) -> Iterator[TextBlock]:
    """The words as they are, broken, smaller, and smaller and broken; larger words, as names, keep their height."""
    yield from _broken(block, to_grid)
    if block.note.height <= BODY and block.note.figure is None:
        yield from _smaller(block, to_grid)


def _smaller(block: TextBlock, to_grid: Affine) -> Iterator[TextBlock]:
    """The words in small letters, and these in ever shorter lines."""
    note = replace(block.note, height=min(SMALL, block.note.height))
    yield from _broken(block_of(block.index, note, to_grid, ANY_SIZE), to_grid)


def _broken(block: TextBlock, to_grid: Affine) -> Iterator[TextBlock]:
    """The words as they are, and in ever shorter lines."""
    shape: TextBlock | None = block
    while shape is not None:
        yield shape
        shape = narrower(shape, to_grid)


def _settle_farther(block: TextBlock, to_grid: Affine, field: Field, taken: Taken) -> Words | None:
    """The words where none of their near places is free: farther off, at last across strokes."""
    narrow = narrower(block, to_grid)
    crossing: Words | None = None
    for shape in (block, narrow):
        words = None if shape is None else _settle(shape, field.farther(shape), taken)
        if words is not None and not words.crosses:
            return words
        crossing = crossing or words
    return crossing or _settle(block, field.anywhere(block), taken)


def _settle(block: TextBlock, places: LabelPositions, taken: Taken, *, clear: bool = False) -> Words | None:
    """The words in the best place that is free; one where no leader runs through words, if there is one.

    Args:
        clear: no other place will do.
    """
    second: int | None = None
    size = np.array(block.size)
    start = 0
    count = 6  # most words stand in one of their first places
    while start < len(places.low):
        low = places.low[start : start + count]
        free = np.flatnonzero(taken.free(low, low + size))
        if len(free):
            low = low[free]
            best = np.flatnonzero(taken.clear(low, low + size, _leaders(block, low, low + size)))
            if len(best):
                return _words(block, places, start + int(free[best[0]]))
            second = start + int(free[0]) if second is None else second
        start += count
        count *= 4
    return None if clear or second is None else _words(block, places, second)


def _leaders(block: TextBlock, low: FloatArray, high: FloatArray) -> FloatArray:
    """The leader to each place, shape (n, 4); without length where there is none."""
    end = np.clip(block.target, low, high)
    start = np.broadcast_to(block.target, end.shape)
    apart = np.hypot(*(end - start).T) > LEADER_FROM
    drawn = apart & block.note.leader
    return np.column_stack((start, np.where(drawn[:, None], end, start)))


def _words(block: TextBlock, places: LabelPositions, i: int) -> Words:
    x, y = (float(value) for value in places.low[i])
    width, height = block.size
    box = (x, y, x + width, y + height)
    target = (float(block.target[0]), float(block.target[1]))
    end = (min(max(target[0], box[0]), box[2]), min(max(target[1], box[1]), box[3]))
    apart = np.hypot(end[0] - target[0], end[1] - target[1])
    left = block.note.leader and target[0] > box[2]  # words on the left of their target stand against it
    figure = block.note.figure
    corner = (x, y + block.figure_rise)
    lines = [
        TextLine(text=text, at=(x + (width - wide if left else 0.0), y + rise), width=wide)
        for text, wide, rise in zip(block.texts, block.widths, block.rises, strict=True)
    ]
    for text, (right, up) in () if figure is None else figure.words:
        said = printable(text)
        at = (corner[0] + right, corner[1] + up)
        lines.append(TextLine(text=said, at=at, width=text_width(said, block.note.height)))
    return Words(
        note=block.index,
        lines=tuple(lines),
        height=block.note.height,
        box=box,
        leader=(target, end) if block.note.leader and apart > LEADER_FROM else None,
        figure=None if figure is None else corner,
        tile=int(places.tile[i]),
        straddles=bool(places.grade[i] > SEEN),
        crosses=bool(places.ink[i] > 0),
    )
