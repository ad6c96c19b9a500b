"""What a finished file should hold, written into it, so that the file alone is enough to be measured by.

One small JSON file is attached for the whole and one for each pattern.  Lengths are whole thousandths of a
millimetre: of the page from its lower left corner, of a pattern in the grid of its taped pages.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray, Stroke
from tiling.layout.page_layout import PageLayout
from tiling.lettering.floor_names import BELOW
from tiling.pages.strips import Strips
from tiling.paper import Page
from tiling.pdf.clipping import ClippedStrokes
from tiling.pdf.shapes import LEADER
from tiling.planning.plan import Plan

__all__ = ["FORM", "WHOLE", "SetsRecord", "pattern_file", "pattern_record", "whole_record"]

FORM = 2  # of the record; a reader refuses a later one
WHOLE = "pages.json"
PER_MM = 1000.0
AT_ONCE = 1024  # rows of a list that are turned into text in one call


@dataclass(frozen=True, slots=True, kw_only=True)
class SetsRecord:
    """Of a file that holds the same pages in several sets.

    Attributes:
        total: sets in all; fewer may be in this file.
        here: number and owner of each set that is.
        first: the names of the pages before all sets.
        by_page: a page of all sets comes before the next one; else all pages of a set before the next set.
    """

    total: int
    here: tuple[tuple[int, str], ...]
    first: tuple[str, ...]
    by_page: bool = False


def pattern_file(number: int) -> str:
    """The name of the attached file of a pattern, counted from 1."""
    return f"pattern-{number}.json"


def _whole(values: Sequence[float] | np.ndarray) -> list[int]:
    found: list[int] = np.rint(np.asarray(values, dtype=float) * PER_MM).astype(np.int64).ravel().tolist()
    return found


def _compact(record: object) -> bytes:
    return json.dumps(record, separators=(",", ":"), ensure_ascii=True).encode()


def whole_record(
    *,
    title: str,
    mark: str,
    page: Page,
    stretch: tuple[float, float],
    strips: Strips | None,
    pages: Iterable[tuple[int, str, int]],
    total: int,
    sets: SetsRecord | None = None,
) -> bytes:
    """The file as a whole.

    Args:
        stretch: by how much every page is drawn larger about its middle, across and up.
        strips: None where the pages have none, and no rulers.
        pages: of this file, in order: number in the whole job, name, and the number of its pattern (0: none).
        total: pages of the whole job.
        sets: ``pages`` and ``total`` are those of one set, and each of these has them; None: there are no sets.
    """
    said = _compact({
        "form": FORM,
        "title": title,
        "mark": mark,
        "unit": "0.001 mm",
        "paper": page.paper.name,
        "scale": page.scale.name,
        "joint": "butt" if page.butt else "overlap",
        "warning": page.scale.warning,
        "size": _whole((page.width, page.height)),
        "stretch": list(stretch),
        "window": _whole(page.window),
        "rulers": [
            _whole([coordinate for disc in ruler.discs for coordinate in disc.centre])
            for ruler in (() if strips is None else (strips.across, strips.upright))
            if ruler.discs
        ],
        "total": total,
    })  # fmt: skip
    after = b"" if sets is None else b',"sets":' + _compact(_sets(sets))
    return b'%b,"pages":[%b]%b}' % (said.removesuffix(b"}"), _rows(pages), after)


def _rows(rows: Iterable[tuple[int, str, int]]) -> bytes:
    """Rows of a list, some at a time: of a long file all of them as values would fill the memory."""
    left = iter(rows)
    return b",".join(_compact(some)[1:-1] for some in iter(lambda: list(islice(left, AT_ONCE)), []))


def _sets(sets: SetsRecord) -> dict[str, object]:
    return {
        "total": sets.total,
        "here": [list(one) for one in sets.here],
        "first": list(sets.first),
        "by_page": sets.by_page,
    }


def pattern_record(plan: Plan, strokes: ClippedStrokes, numbers: Mapping[int, int]) -> bytes:
    """One pattern: its pages, strokes, match marks, words and long distances.

    Args:
        numbers: the page number of each tile that is in this file, by the tile's index.
    """
    layout = plan.layout
    return _compact({
        "name": plan.piece.name,
        "label": plan.label,
        "mark": plan.mark,
        "pages": [
            [number, layout.tiles[index].name, *_place(layout, index)] for index, number in numbers.items()
        ],
        "strokes": [*_strokes(strokes), *_beside_words(plan)],
        "discs": [_whole(layout.to_grid.at(disc.centre)) for disc in plan.drawing.discs if disc.filled],
        "seams": [
            [numbers[seam.over], numbers[seam.under], *_whole(np.array(seam.marks))]
            for seam in layout.seams
            if seam.over in numbers and seam.under in numbers
        ],
        "words": _words(plan, numbers),
        "distances": [
            [check.name, *check.letters, *_whole(
                [*layout.to_grid.at(check.distance.start), *layout.to_grid.at(check.distance.end)]
            )]
            for check in plan.checks
        ],
    })  # fmt: skip


def _place(layout: PageLayout, index: int) -> list[int]:
    """From the grid to the page: the shift."""
    shift = layout.to_page(layout.tiles[index])
    return _whole((shift.tx, shift.ty))


def _words(plan: Plan, numbers: Mapping[int, int]) -> list[list[object]]:
    """Each line of words: page number, text, left end of the base line, height of a capital."""
    lines = [
        (numbers[words.tile], line.text, *line.at, words.height)
        for words in plan.words
        if words.tile in numbers
        for line in words.lines
    ] + [
        (numbers[name.tile], said, *at, height)
        for name in plan.names
        if name.tile in numbers
        for said, at, height in ((name.text, name.at, name.height), (name.below, name.below_at, BELOW))
    ]
    figures = _whole(np.array([line[2:] for line in lines]))
    return [[*line[:2], *figures[3 * i : 3 * i + 3]] for i, line in enumerate(lines)]


def _strokes(strokes: ClippedStrokes) -> list[list[int]]:
    """The paths of a drawing."""
    heads = [(path.stroke, path.filled) for path in strokes.paths]
    return _paths(heads, strokes.points, strokes.starts)


def _paths(
    heads: Sequence[tuple[Stroke, bool]], points: FloatArray, starts: NDArray[np.intp]
) -> list[list[int]]:
    """Each path: its breadth, whether it is filled, its first vertex, then the steps from vertex to vertex.

    Args:
        heads: the stroke of each, and whether it is filled.
        points: shape (n, 2), mm, the paths one after the other.
        starts: index of the first vertex of each path.
    """
    whole = np.rint(points * PER_MM).astype(np.int64)
    steps = np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype=np.int64))
    steps[starts] = whole[starts]
    flat: list[int] = steps.ravel().tolist()
    at = [*(2 * starts).tolist(), len(flat)]
    return [
        [round(stroke.width * PER_MM), int(filled), *flat[start:end]]
        for (stroke, filled), start, end in zip(heads, at, at[1:], strict=False)
    ]


def _beside_words(plan: Plan) -> list[list[int]]:
    """The leaders of words and the lines of their figures, as paths."""
    heads: list[tuple[Stroke, bool]] = []
    runs: list[FloatArray] = []
    for words in plan.words:
        if words.leader is not None:
            heads.append((LEADER, False))
            runs.append(np.array(words.leader))
        figure = plan.drawing.notes[words.note].figure
        if figure is not None and words.figure is not None:
            for path in figure.paths:
                points = np.vstack([path.points, path.points[:1]]) if path.closed else path.points
                heads.append((path.stroke, path.filled))
                runs.append(points + words.figure)
    if not runs:
        return []
    return _paths(heads, np.concatenate(runs), np.cumsum([0, *map(len, runs[:-1])], dtype=np.intp))
