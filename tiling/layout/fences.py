"""Things on common pages, each in a fenced box of its own: a sheet's fields, which boxes they hold, what is drawn.

A sheet is one page or two that are joined.  Each of its pages has fields in rows, and in columns where it is broad
enough; a box is a rectangle of fields of one page, or goes right over the joint of the two.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from tiling.drawing import Drawing, FloatArray, Note, Path, Stroke
from tiling.drawing.affine import Affine
from tiling.layout.coverage import InkBoxes
from tiling.layout.grid import PageLayout
from tiling.layout.page_selection import CLEAR, Lattice, in_columns
from tiling.layout.slides import slid_into
from tiling.paper import Box, Page

__all__ = [
    "FENCE",
    "ROWS",
    "Fenced",
    "FencedSheet",
    "SheetKind",
    "columns_of",
    "cut_at",
    "fenced_drawing",
    "sheet_layout",
]

ROWS = 24  # fields of a page up
BROAD = 150.0  # mm; a column is no narrower, so that blocks of words find room in it
FENCE = Stroke(width=0.5, dash=(0.5, 1.5))  # dots as no outline has them

SheetKind = tuple[int, int]
"""Pages of a sheet up and across: (1, 1), (1, 2) or (2, 1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fenced:
    """How large a thing's box is, in fields.

    Attributes:
        kind: of the sheets that it may lie on: it takes fields of all their pages; on one of (1, 1) it takes those
            of one page of any sheet.
        columns, rows: fields across and up, on each of the pages.
    """

    kind: SheetKind
    columns: int
    rows: int

    @property
    def fields(self) -> int:
        """How many it takes in all."""
        return self.kind[0] * self.kind[1] * self.columns * self.rows

    def box(self, page: Page, at: tuple[int, int, int], kind: SheetKind) -> Box:
        """The box on a sheet of that kind, mm from the lower left corner of its pages.

        Args:
            at: the page, counted from the lower left one; the first column and the lowest row.
        """
        number, column, row = at
        up, across = (number, 0) if kind[0] > 1 else (0, number)
        x0, x1 = _sides(page, 0, across, (column, self.columns), over=self.kind[1] > 1, pages=kind[1])
        y0, y1 = _sides(page, 1, up, (row, self.rows), over=self.kind[0] > 1, pages=kind[0])
        return x0, y0, x1, y1


def _sides(
    page: Page, axis: int, number: int, span: tuple[int, int], *, over: bool, pages: int
) -> tuple[float, float]:
    """Where a box begins and ends along an axis, clear of the outer edge and of the overlap of two pages."""
    step = page.step[axis]
    if over:
        return CLEAR, (pages - 1) * step + step + page.overlap - CLEAR
    field_size = (step - CLEAR) / (columns_of(page), ROWS)[axis]
    first, count = span
    start = number * step + (page.overlap if number else CLEAR) + first * field_size
    return start, start + count * field_size


def columns_of(page: Page) -> int:
    """How many columns of fields a page has."""
    return max(int((page.step[0] - CLEAR) / BROAD), 1)


@dataclass(slots=True, kw_only=True)
class FencedSheet:
    """A sheet in the making.

    Attributes:
        kind: pages up and across.
        columns: of fields on each.
        lies: which thing lies where: its number, its size, page, first column and lowest row.
    """

    kind: SheetKind
    columns: int
    lies: list[tuple[int, Fenced, tuple[int, int, int]]] = field(default_factory=list)
    _taken: np.ndarray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._taken = np.zeros((self.pages, ROWS, self.columns), dtype=bool)

    @property
    def pages(self) -> int:
        """How many it has."""
        return self.kind[0] * self.kind[1]

    def add(self, number: int, size: Fenced) -> bool:
        """Lay a thing in the first place that is free, from the top; whether there is one."""
        if size.kind not in ((1, 1), self.kind):
            return False
        whole = size.kind != (1, 1)
        for row in range(ROWS - size.rows, -1, -1):
            for column in range(self.columns - size.columns + 1):
                for page in (0,) if whole else range(self.pages):
                    pages = slice(None) if whole else slice(page, page + 1)
                    fields = self._taken[pages, row : row + size.rows, column : column + size.columns]
                    if not fields.any():
                        fields[...] = True
                        self.lies.append((number, size, (page, column, row)))
                        return True
        return False


def sheet_layout(page: Page, kind: SheetKind, ink: InkBoxes) -> PageLayout:
    """The pages of a sheet; the origin is the lower left corner of its pages.

    Args:
        ink: of all that is drawn; match marks give way to it.
    """
    half = 0.5 * page.overlap
    lattice = Lattice(turn=Affine(), origin=(half, half), shape=kind, choice=f"fenced {kind[0]} {kind[1]}")
    places = {(row, column) for row in range(kind[0]) for column in range(kind[1])}
    layout = in_columns(page, lattice, places, ink)
    return replace(layout, plain=len(layout.tiles))


def fenced_drawing(parts: Sequence[Drawing], fences: Sequence[Box]) -> Drawing:
    """The parts, each in its box with a fence around it.

    Args:
        parts: in their places; what is aside of one is cut off at its fence.
    """
    whole = Drawing(fences=tuple(fences))
    for number, (part, fence) in enumerate(zip(parts, fences, strict=True)):
        inside = slid_into(part, [fence])
        whole = whole.with_more(
            paths=(
                *cut_at(inside.paths, fence),
                Path(points=_corners(fence), stroke=FENCE, closed=True, aside=True),
            ),
            discs=inside.discs,
            notes=(replace(note, room=number) for note in inside.notes if _speaks_within(note, fence)),
            distances=inside.distances,
        )
    return whole


def _speaks_within(note: Note, box: Box) -> bool:
    """Whether its place is in the box, if it leads to one."""
    x, y = note.target
    return not note.leader or (box[0] <= x <= box[2] and box[1] <= y <= box[3])


def _corners(box: Box) -> FloatArray:
    x0, y0, x1, y1 = box
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def cut_at(paths: Iterable[Path], box: Box) -> Iterator[Path]:
    """The paths with those that are aside cut off at a box."""
    room = shapely.box(*box)
    for path in paths:
        low, high = path.points.min(axis=0), path.points.max(axis=0)
        if not path.aside or ((low >= box[:2]).all() and (high <= box[2:]).all()):
            yield path
            continue
        ends = path.points[:1] if path.closed else path.points[:0]
        run = shapely.LineString(np.concatenate([path.points, ends]))
        for part in shapely.get_parts(shapely.intersection(run, room)):
            if part.length > 0.0:
                yield replace(path, points=shapely.get_coordinates(part), closed=False, filled=False)
