"""The worksheet: a small table of offsets, a grid to loft it on by hand, blanks to fill in; and its answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import BinaryIO

import numpy as np

from patterns.boat import Boat
from patterns.lesson.exercise import Exercise
from patterns.measure import Notation, format_length
from patterns.shop.tables import own_factor
from patterns.table.values import BOW, STERN
from patterns.text.bevels import bevel_words
from tiling.books.blank_table import add_blanks, blanks_height
from tiling.books.book import Book, Cover
from tiling.drawing import Disc, Drawing, Note, Path, Stroke
from tiling.paper import Page
from tiling.paper.printers import Correction

__all__ = ["grid_drawing", "grid_room", "write_answers", "write_worksheets"]

GRID, NAMED, STATION = Stroke(width=0.13), Stroke(width=0.25), Stroke(width=0.35)
END = Stroke(width=0.25, dash=(3.0, 1.5))
CURVE = Stroke(width=0.7)
WORDS = 2.5  # height of a capital, mm
NAMES = 20.0  # mm of the breadth kept for the names of the grid's lines
AROUND = 14.0  # mm above and below the grid for names
TEXT = 64.0  # mm for a page's heading and its words
LEAST, MOST = 80.0, 180.0  # mm; a grid's height
DOT = 0.6  # mm, radius of an offset as typed
CELL = 1.2  # mm, radius of the ring about an offset that the batten has left
MOVED = 0.05  # mm; a move that is less reads 0


def grid_room(page: Page, boat: Boat) -> tuple[float, float]:
    """The breadth and the height that a grid may take, so that the table of one line stands under it, mm."""
    x0, y0, x1, y1 = page.window
    rows = len(boat.offsets.stations) + 2
    tall = (y1 - y0) - TEXT - AROUND - blanks_height(rows)
    return x1 - x0 - 3.0 - NAMES, min(max(tall, LEAST), MOST)


# Words


def _notation(boat: Boat, *, metric: bool) -> Notation:
    return Notation.MM if metric else boat.offsets.notation


def _said(boat: Boat, exercise: Exercise, value: float, *, metric: bool) -> str:
    """A length of the exercise as its table writes it."""
    return format_length(own_factor(boat, exercise.view) * value, _notation(boat, metric=metric))


def _title(exercise: Exercise) -> str:
    view = {"height": "heights", "half-breadth": "half-breadths"}.get(exercise.view, exercise.view)
    return f"{exercise.line}: {view}"


def _scales(exercise: Exercise) -> str:
    along, across = exercise.along.scale, exercise.across.scale
    if along == across:
        return f"The grid is drawn 1:{along}."
    return (
        f"The grid is drawn 1:{along} fore and aft and 1:{across} across, so that small moves can be seen: a line "
        "that is fair on it is fair on the boat."
    )


def _task(boat: Boat, exercise: Exercise, *, metric: bool) -> list[str]:
    allow = boat.design.fairing.allow
    words = [
        _scales(exercise),
        "Plot each offset as a small cross on the line of its station; the ends of the line stand on the dashed "
        "lines. Bend a thin batten through the crosses, held by weights or pins on either side of it. Sight along "
        "it, ease it where it has a bump, and draw the line.",
        f"You may leave a cross by {_length(boat, allow, metric=metric)}: on this grid that is "
        f"{allow / exercise.across.scale:.1f} mm. Then read the line off at every station and write down by how "
        "much you have moved it.",
    ]
    if exercise.slopes:
        words.append(
            "The last column is the angle at which the line runs out or in, seen from above: the half-breadth at "
            "the next station less that at the one before, divided by their distance apart, is its tangent."
        )
    return words


def _length(boat: Boat, mm: float, *, metric: bool) -> str:
    """A short length with its unit."""
    if metric or boat.offsets.notation.metric:
        return f"{mm:.2g} mm"
    return f"{format_length(mm, Notation.FEET_INCHES)} ({mm:.2g} mm)"


# Pictures


def grid_drawing(boat: Boat, exercise: Exercise, *, metric: bool = False, faired: bool = False) -> Drawing:
    """The grid in mm of paper, its lower left corner at the origin.

    Args:
        faired: with the offsets as typed and the line as faired drawn over it.
    """
    along, across = exercise.along, exercise.across
    wide, tall = along.length, across.length
    paths = [
        Path(points=np.array([[0.0, across.at(v)], [wide, across.at(v)]]), stroke=NAMED if named else GRID)
        for v, named in across.lines()
    ]
    notes = [
        Note(
            text=_said(boat, exercise, v, metric=metric), target=(-0.5, across.at(v)), towards=(-1.0, 0.0),
            height=WORDS,
        )
        for v, named in across.lines()
        if named
    ]  # fmt: skip
    for name, x, is_end in _uprights(boat, exercise):
        at = along.at(x)
        paths.append(Path(points=np.array([[at, 0.0], [at, tall]]), stroke=END if is_end else STATION))
        end = (at, tall + 0.5) if is_end else (at, -0.5)
        notes.append(Note(text=name, target=end, towards=(0.0, 1.0 if is_end else -1.0), height=WORDS))
    discs: list[Disc] = []
    if faired:
        start, scales = (along.low, across.low), (along.scale, across.scale)
        points = (exercise.curve - start) / scales
        paths.append(Path(points=points, stroke=CURVE))
        for cell, x in zip(exercise.cells, exercise.typed_x, strict=True):
            at_typed = (along.at(x), across.at(cell.offset))
            discs.append(Disc(centre=at_typed, radius=DOT))
            if abs(cell.move) >= MOVED:
                discs.append(Disc(centre=at_typed, radius=CELL, filled=False))
    return Drawing(paths=tuple(paths), discs=tuple(discs), notes=tuple(notes))


def _uprights(boat: Boat, exercise: Exercise) -> list[tuple[str, float, bool]]:
    """What stands upright on the grid: name, distance aft, and whether it is an end of the line."""
    low, high = exercise.along.low, exercise.along.high
    stations = [
        (name, float(x), False)
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
        if low - 1e-6 <= x <= high + 1e-6
    ]
    ends = [
        (cell.label, x, True)
        for cell, x in zip(exercise.cells, exercise.typed_x, strict=True)
        if cell.label in (BOW, STERN)
    ]
    return [*stations, *ends]


# Pages


def _offset_heads(boat: Boat, *, metric: bool) -> list[str]:
    notation = _notation(boat, metric=metric)
    return ["station", "aft", "offset as typed"] if notation is Notation.MM else [
        "station", "aft", "offset as typed", "the same in mm",
    ]  # fmt: skip


def _offset_cells(boat: Boat, exercise: Exercise, index: int, *, metric: bool) -> list[str]:
    notation = _notation(boat, metric=metric)
    cell = exercise.cells[index]
    words = [
        cell.label,
        format_length(exercise.typed_x[index], notation),
        _said(boat, exercise, cell.offset, metric=metric),
    ]
    if notation is not Notation.MM:
        words.append(f"{own_factor(boat, exercise.view) * cell.offset:.1f}")
    return words


def write_worksheets(
    stream: BinaryIO,
    boat: Boat,
    found: Sequence[Exercise],
    *,
    page: Page,
    mark: str,
    owners: Sequence[str],
    metric: bool = False,
    correction: Correction | None = None,
) -> int:
    """Write a worksheet for each owner, one after the other; returns how many pages one has.

    Args:
        owners: by name; one may come several times.
        metric: in mm alone, whatever the table is written in.
        correction: of the printer that will print them.
    """

    def add(book: Book, exercise: Exercise) -> None:
        for words in _task(boat, exercise, metric=metric):
            book.paragraph(words)
        book.space(3.0)
        book.picture(grid_drawing(boat, exercise, metric=metric))
        heads = [*_offset_heads(boat, metric=metric), "you read", "you moved it by"]
        blanks = ["", ""]
        if exercise.slopes:
            heads, blanks = [*heads, "angle, degrees"], [*blanks, ""]
        rows = [
            [*_offset_cells(boat, exercise, i, metric=metric), *blanks] for i in range(len(exercise.cells))
        ]
        add_blanks(book, heads, rows, [1.0] * (len(heads) - len(blanks)) + [1.5] * len(blanks))

    return _write(stream, boat, found, add, "Loft by hand", "worksheet", page, mark, owners, correction)


def write_answers(
    stream: BinaryIO,
    boat: Boat,
    found: Sequence[Exercise],
    *,
    page: Page,
    mark: str,
    metric: bool = False,
    correction: Correction | None = None,
) -> int:
    """Write the answers: the lines as faired over the same grids, values and bevels; returns how many pages."""

    def add(book: Book, exercise: Exercise) -> None:
        for words in _about_answers(exercise):
            book.paragraph(words)
        book.space(3.0)
        book.picture(grid_drawing(boat, exercise, metric=metric, faired=True))
        heads = [*_offset_heads(boat, metric=metric), "as faired", "as faired, mm", "moved, mm"]
        if _notation(boat, metric=metric) is Notation.MM:
            heads.remove("as faired, mm")
        if exercise.slopes:
            heads.append("angle, degrees")
        names = list(dict.fromkeys(name for bevels in exercise.bevels.values() for name, _ in bevels))
        heads += [f"bevel, {name}" for name in names]
        rows = [_answer(boat, exercise, i, names, metric=metric) for i in range(len(exercise.cells))]
        add_blanks(book, heads, rows, [1.0] * (len(heads) - len(names)) + [1.3] * len(names))

    return _write(stream, boat, found, add, "Answers", "answers", page, mark, (), correction)


def _about_answers(exercise: Exercise) -> list[str]:
    words = [
        f"{_scales(exercise)} Spots are the offsets as typed; a ring marks one that the line has left. A line "
        "drawn with care by hand comes within a pencil's breadth of this one; where it differs by more, look for a "
        "slip in the plotting before you blame the batten.",
    ]
    if exercise.slopes:
        words.append(
            "The angle is that of the line seen from above; it is positive where the boat grows broader going aft."
        )
    if exercise.bevels:
        words.append(
            "The bevel is the angle through the wood of a frame on the station line, square to its edge, whose "
            "wood lies away from the greatest breadth. The planking leans and the line climbs: so it differs from "
            "the angle seen from above."
        )
    return words


def _answer(boat: Boat, exercise: Exercise, index: int, names: Sequence[str], *, metric: bool) -> list[str]:
    cell = exercise.cells[index]
    factor = own_factor(boat, exercise.view)
    move = f"{factor * cell.move:+.1f}" if abs(cell.move) >= MOVED else "0"
    words = [
        *_offset_cells(boat, exercise, index, metric=metric),
        _said(boat, exercise, cell.faired, metric=metric),
        *([] if _notation(boat, metric=metric) is Notation.MM else [f"{factor * cell.faired:.1f}"]),
        move,
    ]
    if exercise.slopes:
        words.append(f"{round(np.degrees(exercise.slopes[index]), 1) + 0.0:.1f}")
    there = dict(exercise.bevels.get(cell.label, ()))
    return [*words, *(bevel_words(there[name]) if name in there else "" for name in names)]


def _write(
    stream: BinaryIO,
    boat: Boat,
    found: Sequence[Exercise],
    add: Callable[[Book, Exercise], None],
    title: str,
    subject: str,
    page: Page,
    mark: str,
    owners: Sequence[str],
    correction: Correction | None,
) -> int:
    cover = Cover(title=boat.design.boat.name, subject=subject, mark=mark, creator="scrieve")
    book = Book(stream, cover, page, rulers=True, owned=bool(owners), correction=correction)
    for exercise in found:
        book.chapter(f"{title}, {_title(exercise)}")
        add(book, exercise)
    return book.finish(owners)
