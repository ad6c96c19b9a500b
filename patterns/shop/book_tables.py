"""Chapters of the loft book that are tables: offsets as typed and as faired, set-up, bevels."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from patterns.boat import Boat
from patterns.fairing.cells import FairedCell
from patterns.hull.hydrostatics_words import CAUTION
from patterns.hull.hydrostatics_words import rows as hydrostatic_rows
from patterns.measure import Notation
from patterns.pattern import Pattern
from patterns.shop.set_up import SetUpPiece, set_up_level
from patterns.shop.set_up_drawing import add_set_up_drawing
from patterns.shop.tables import own_factor, typed_words
from patterns.text.bevels import bevel_rule, reading_words
from tiling.books.book import Book
from tiling.books.table_columns import BookRow, Column

__all__ = ["add_bevels", "add_hydrostatics", "add_offsets", "add_set_up"]

NOT_MOVED = 0.05  # mm; a move that is less reads 0
UPRIGHT = 1e-6  # radians
LAST = ("position", "stem")  # what stands after the table's own blocks
TITLES: Mapping[str, str] = {
    "position": "Where the lines end, aft",
    "height": "Heights",
    "half-breadth": "Breadths",
    "diagonal": "Diagonals",
}


def _figures(heads: Sequence[str]) -> list[Column]:
    return [Column(head=head, align="right") for head in heads]


def add_hydrostatics(book: Book, boat: Boat) -> None:
    """What the hull displaces, under the chapter before it; nothing where the design has no designed waterline."""
    if boat.hydrostatics is None:
        return
    figures = [BookRow(cells=row) for row in hydrostatic_rows(boat.hydrostatics, boat.offsets.notation)]
    book.heading("Hydrostatics of the faired hull to the outside of planking", keep=60.0)
    book.table([Column(head="figure"), Column(head="at the designed waterline")], figures)
    book.paragraph(CAUTION)


def add_offsets(book: Book, boat: Boat) -> None:
    """The table of offsets, as typed and as faired, block by block, each move below."""
    table = boat.design.table
    book.chapter(
        "Table of offsets",
        words=f"As typed ({boat.offsets.notation.value}), as faired, and the move "
        f"in mm (0: left as it was). Allowed move: {boat.design.fairing.allow:.1f} mm. Lines to the "
        f"{table.lines_to}; sheer to the {table.sheer_to}; heights {table.heights}.",
    )
    labels = ["bow", *boat.offsets.stations, "stern"]
    views = dict.fromkeys(row.view for row in boat.lines.rows)
    for view in sorted(views, key=lambda view: (view in LAST, list(views).index(view))):
        rows = [row for row in boat.lines.rows if row.view == view]
        if view == "stem":
            _stem_points(book, boat, rows)
            continue
        used = [label for label in labels if any(row.label == label for row in rows)]
        book.heading(TITLES.get(view, view))
        book.table(
            [Column(head="station"), *_figures(used)],
            [
                each
                for name in dict.fromkeys(row.line for row in rows)
                for each in _block(boat, name, {row.label: row for row in rows if row.line == name}, used)
            ],
        )


def _block(boat: Boat, name: str, cells: Mapping[str, FairedCell], labels: Sequence[str]) -> list[BookRow]:
    """One line in one view: as typed, as faired, in mm, moved."""

    def row(what: str, say: Callable[[FairedCell], str]) -> BookRow:
        return BookRow(cells=(what, *(say(cells[label]) if label in cells else "" for label in labels)))

    factor = own_factor(boat.design, next(iter(cells.values())).view)
    found = [
        BookRow(title=name),
        row("as typed", lambda cell: typed_words(boat.design, boat.offsets, cell)),
        row("as faired", lambda cell: boat.table_words(factor * cell.faired)),
    ]
    if boat.offsets.notation is not Notation.MM:
        found.append(row("in mm", lambda cell: f"{factor * cell.faired:.1f}"))
    return [*found, row("moved mm", lambda cell: _moved(cell, factor))]


def _moved(cell: FairedCell, factor: float = 1.0) -> str:
    return f"{factor * cell.move:+.1f}" if abs(cell.move) >= NOT_MOVED else "0"


def _stem_points(book: Book, boat: Boat, rows: Sequence[FairedCell]) -> None:
    book.heading("The stem's own points")
    book.table(
        [Column(head="point"), *_figures(("aft mm", "as typed", "as faired", "moved mm"))],
        [
            BookRow(
                cells=(
                    row.label,
                    f"{row.x:.1f}",
                    typed_words(boat.design, boat.offsets, row),
                    boat.table_words(row.faired),
                    _moved(row),
                )
            )
            for row in rows
        ],
    )


def add_set_up(book: Book, boat: Boat, patterns: Sequence[Pattern], found: Sequence[SetUpPiece]) -> None:
    """Where each frame, mould and transom stands, drawn to scale, and its corners from the set-up line."""
    if not found:
        return
    level = set_up_level(boat)
    line = (
        "The design has no set-up line ([set_up]): heights are above base."
        if level is None
        else f"The set-up line lies {boat.length_words(level)} above base; heights are plumb from it."
    )
    book.chapter(
        "Set-up",
        words=f"{line} All points are on the moulded face at the inside of planking, where a batten bears. "
        "Diagonals run over the face from each point to the sheer on the other side: with the frame square, the "
        "one from starboard to port is as long as the one from port to starboard.",
    )
    add_set_up_drawing(book, boat, patterns, found)
    leaning = any(abs(stand.rake) > UPRIGHT or abs(stand.cant) > UPRIGHT for stand in found)
    double = boat.offsets.notation is not Notation.MM
    rows = [row for stand in found for row in _stand(boat, stand, leaning=leaning)]
    heads: list[str] = []
    for head in ("height" if level is None else "from set-up line", "half-breadth", "diagonal"):
        heads += [f"{head} mm", ""] if double else [f"{head} mm"]
    book.heading("Corners")
    book.table([Column(head="place"), *_figures([*heads, "aft mm"] if leaning else heads)], rows)


def _stand(boat: Boat, stand: SetUpPiece, *, leaning: bool) -> list[BookRow]:
    level = set_up_level(boat)
    said = [f"moulded face {boat.length_words(stand.aft)} aft"]
    if abs(stand.rake) > UPRIGHT:
        way = "aft" if stand.rake > 0.0 else "forward"
        said[0] += " at height 0"
        said.append(f"raked {abs(np.degrees(stand.rake)):.1f}°, top {way}")
        if level is not None:
            said.append(f"{boat.length_words(stand.at_line)} aft at the set-up line")
    if abs(stand.cant) > UPRIGHT:
        way = "aft" if stand.cant > 0.0 else "forward"
        said[0] += " on the centreline"
        said.append(f"canted {abs(np.degrees(stand.cant)):.1f}°, outboard end {way}")
    said.append(f"{stand.sided:g} mm of wood are {stand.wood} of it")
    rows = [BookRow(title=f"{stand.name}: {'; '.join(said)}")]
    for corner in stand.corners:
        cells = [corner.name]
        for value in (corner.z if level is None else abs(level - corner.z), corner.y, corner.across):
            cells.append(f"{round(value, 1) + 0.0:.1f}")
            if boat.offsets.notation is not Notation.MM:
                cells.append(boat.table_words(value))
        rows.append(BookRow(cells=tuple([*cells, f"{corner.x:.1f}"] if leaning else cells)))
    return rows


def add_bevels(book: Book, patterns: Sequence[Pattern]) -> None:
    """Every bevel by member, exact and for the gauge."""
    rows: list[BookRow] = []
    for pattern in patterns:
        if not pattern.readings:
            continue
        rows.append(BookRow(title=f"{pattern.name}: stock on the {pattern.face}"))
        rows += [
            BookRow(
                cells=(
                    reading.edge,
                    reading.where,
                    f"{round(reading.at[0]) + 0}",
                    f"{round(reading.at[1]) + 0}",
                    f"{np.degrees(reading.bevel):.1f}°",
                    reading_words(reading),
                )
            )
            for reading in pattern.readings
        ]
    if not rows:
        return
    book.chapter(
        "Bevels",
        words="The angle through the wood, read square to the edge, stock on the moulded face: less than 90° is "
        f"under, more is standing. For the gauge it is the {bevel_rule()}, rounded so that wood is left on. "
        "Between two readings of an edge roll the bevel straight from the one to the other. Places are across and "
        "up on the pattern; a frame's are counted from the centreline and from height 0.",
    )
    heads = ("across mm", "up mm", "through the wood", "for the gauge")
    book.table([Column(head="edge"), Column(head="at"), *_figures(heads)], rows)
