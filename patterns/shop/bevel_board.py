"""The bevel board: every bevel of the boat as a line to set the gauge by, with all the places that have it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np

from patterns.pattern import Pattern
from patterns.text.bevels import BevelKind, GaugeAngle, gauge_angle
from tiling.books.book import Book, Cover
from tiling.books.gauge_angles import Setting, add_angles
from tiling.books.table_columns import BookRow, Column
from tiling.paper import Page
from tiling.paper.printers import Correction

__all__ = ["Gauge", "gauges", "has_bevels", "write_bevel_board"]

KINDS: tuple[BevelKind, ...] = ("under", "square", "standing", "land")
TITLES: dict[BevelKind, str] = {
    "under": "Under: less than square",
    "standing": "Standing: more than square",
    "land": "Lands: through the wood to the side, planed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One angle for the gauge.

    Attributes:
        degrees: through the wood, rounded as on the patterns.
        kind: ``under``, ``square``, ``standing`` or ``land``.
        figure: it in words, one figure with its sense.
        places: by pattern and edge, how many readings have it.
    """

    degrees: float
    kind: BevelKind
    figure: str
    places: tuple[tuple[str, str, int], ...]

    @property
    def words(self) -> str:
        """Where it is read: ``frame 2: bottom (3), side; frame 3: deck``."""
        by_piece: dict[str, list[str]] = {}
        for piece, edge, count in self.places:
            by_piece.setdefault(piece, []).append(f"{edge} ({count})" if count > 1 else edge)
        return "; ".join(f"{piece}: {', '.join(edges)}" for piece, edges in by_piece.items())


def gauges(patterns: Sequence[Pattern]) -> tuple[Gauge, ...]:
    """Every angle that the patterns ask for, each once, by kind and then by angle."""
    found: dict[GaugeAngle, Counter[tuple[str, str]]] = {}
    for pattern in patterns:
        for reading in pattern.readings:
            edge = reading.where or reading.edge
            angle = gauge_angle(reading.bevel, land=reading.land)
            found.setdefault(angle, Counter())[pattern.name, edge] += 1
    return tuple(
        Gauge(
            degrees=angle.degrees,
            kind=angle.kind,
            figure=angle.words,
            places=tuple((piece, edge, count) for (piece, edge), count in places.items()),
        )
        for angle, places in sorted(
            found.items(), key=lambda entry: (KINDS.index(entry[0].kind), entry[0].degrees)
        )
    )


def has_bevels(patterns: Sequence[Pattern]) -> bool:
    """Whether any edge is to be sawn or planed off square."""
    return any(gauge.kind != "square" for gauge in gauges(patterns))


def write_bevel_board(
    stream: BinaryIO,
    patterns: Sequence[Pattern],
    *,
    boat: str,
    page: Page,
    mark: str,
    correction: Correction | None = None,
) -> int:
    """Write the board; returns how many pages it has."""
    found = gauges(patterns)
    cover = Cover(title=boat, subject="bevel board", mark=mark, creator="scrieve")
    book = Book(stream, cover, page, rulers=True, correction=correction)
    book.chapter(
        "Bevel board",
        words="Each line is one bevel, drawn at its angle through the wood: the heavy line is the face that the "
        "stock lies on, the wood is above it and to the right. Cut the strips apart along the heavy lines and "
        "paste each on a board, that line at its straight edge; hold the gauge's stock against the edge and set "
        "the blade along the line. Both rulers must read true, or the angles are not.",
    )
    for kind, title in TITLES.items():
        own = [gauge for gauge in found if gauge.kind == kind]
        if own:
            book.heading(title, keep=75.0)
            add_angles(
                book,
                [Setting(angle=float(np.radians(g.degrees)), label=g.figure) for g in own],
            )
    book.heading("Where each is read")
    rows = []
    for kind in KINDS:
        own = [gauge for gauge in found if gauge.kind == kind]
        if own:
            rows.append(BookRow(title=kind if kind != "land" else "lands, planed"))
            rows += [BookRow(cells=(g.figure, g.words)) for g in own]
    book.table(
        [
            Column(head="bevel", align="right"),
            Column(head="places (how many readings)", wraps=True),
        ],
        rows,
    )
    return book.finish()
