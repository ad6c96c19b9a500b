"""The lines drawn short, five to ten times compressed lengthwise, so that a bump shows to an eye along the page.

With each line goes its least radius, where a batten of the wood to be bent there should be tried first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.boat import Boat
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import Curve
from patterns.shop.round_lines import level_runs
from patterns.shop.views import WATER, common_scale, every_line, plan, profile, sampled
from tiling.books.book import Book
from tiling.books.table_columns import BookRow, Column
from tiling.drawing import Drawing, Note, Path

__all__ = ["LeastRadius", "add_sighting", "compressed", "least_radius", "sighting_scales"]

LEAST, MOST = 5, 10  # times
NAMES = 40.0  # mm of the page's breadth kept for the names beside a view
NOTE = 2.5  # height of a capital, mm
FINE = 2001  # places along a line
STRAIGHT = 1e-7  # 1/mm; a radius of ten kilometres is straight
WORDS = (
    "Hold the page level near one eye and sight along each line from either end. Heights and breadths are to the "
    "scale given, lengths are {times} times shorter, so that bumps and hollows stand out."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastRadius:
    """How sharply a line bends where it bends most.

    Attributes:
        line: its name.
        radius: in space, mm; inf where it is straight.
        at: distance aft, mm.
    """

    line: str
    radius: float
    at: float


def least_radius(name: str, curve: Curve) -> LeastRadius:
    """The least radius of a line in space; a corner that is meant has none.

    Source: curvature |r' x r''| / |r'|^3 (any textbook of differential geometry; from memory).
    """
    t = np.linspace(curve.start, curve.end, FINE)
    first, second = curve.at(t, 1), curve.at(t, 2)
    bend = np.linalg.norm(np.cross(first, second), axis=-1) / np.linalg.norm(first, axis=-1) ** 3
    most = int(bend.argmax())
    radius = 1.0 / float(bend[most]) if bend[most] > STRAIGHT else math.inf
    return LeastRadius(line=name, radius=radius, at=float(curve.at(t[most : most + 1])[0, 0]))


def compressed(drawing: Drawing, times: float) -> Drawing:
    """A view so many times shorter, as high as it was; its words and spots are as large as they were."""
    by = np.array([1.0 / times, 1.0])
    return Drawing(
        paths=tuple(replace(path, points=path.points * by) for path in drawing.paths),
        discs=tuple(replace(disc, centre=(disc.centre[0] / times, disc.centre[1])) for disc in drawing.discs),
        notes=tuple(replace(note, target=(note.target[0] / times, note.target[1])) for note in drawing.notes),
    )


def _diagonals(boat: Boat, scale: float) -> Drawing | None:
    """The diagonals laid down flat, distances from the centreline over the length; None without diagonals."""
    paths, notes = [], []
    for level, points in level_runs(boat):
        if level.view == "diagonal":
            along = (points[:, 1:] - level.start) @ level.along
            run = scale * np.column_stack([points[:, 0], along])
            paths.append(Path(points=run, stroke=WATER))
            at = float(run[-1, 0]), float(run[-1, 1])
            notes.append(Note(text=level.name, target=at, towards=(1.0, 0.0), height=NOTE))
    return Drawing(paths=tuple(paths), notes=tuple(notes)) if paths else None


def sighting_scales(points: FloatArray, room: float, tall: float) -> tuple[int, int]:
    """The scale of heights, 1 to so much, and how many times shorter lengths are: from 5 to 10 times.

    Args:
        points: of all lines, (n, 3), mm.
        room, tall: what a view may take of the page, mm.
    """
    length, height = float(np.ptp(points[:, 0])), float(np.ptp(points[:, 1:], axis=0).max())
    scale = common_scale(tall / height)
    times = max(math.ceil(length / (scale * room)), LEAST)
    if times > MOST:
        scale, times = common_scale(room * MOST / length), MOST
    return scale, times


def add_sighting(book: Book, boat: Boat) -> None:
    """The compressed lines plan and the least radius of each line, as a chapter."""
    points = np.vstack([sampled(curve) for _, curve in every_line(boat)])
    scale, times = sighting_scales(points, book.room - NAMES, 0.42 * book.whole)
    book.chapter("Lines to sight along", words=WORDS.format(times=times))
    views: list[tuple[str, Drawing | None]] = [
        ("Profile", profile(boat, 1.0 / scale, height=NOTE)),
        ("Plan", plan(boat, 1.0 / scale, height=NOTE)),
        ("Diagonals", _diagonals(boat, 1.0 / scale)),
    ]
    for name, view in views:
        if view is not None:
            short = compressed(view, times)
            book.heading(f"{name}, 1:{scale} up and across, 1:{scale * times} along", keep=60.0)
            book.picture(short)
    _radii(book, boat, [least_radius(*line) for line in every_line(boat)])


def _radii(book: Book, boat: Boat, found: Sequence[LeastRadius]) -> None:
    book.heading("Least radius of each line: try a batten", keep=40.0)
    book.paragraph(
        "No table here knows how far a wood bends. Before you cut, bend a batten of the timber's own section round "
        "the least radius of its line."
    )
    rows = [
        BookRow(
            cells=(
                each.line,
                "straight" if math.isinf(each.radius) else boat.length_words(round(each.radius)),
                "" if math.isinf(each.radius) else boat.length_words(round(each.at)),
            )
        )
        for each in found
    ]
    columns = [Column(head="line"), *(Column(head=head, align="right") for head in ("least radius", "aft"))]
    book.table(columns, rows)
