"""The answers to a worksheet: what is wrong, the true line, and the readings and angles that are accepted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import BinaryIO

import numpy as np

from patterns.boat import Boat
from patterns.lesson.exercise import Cross, Exercise
from patterns.lesson.grid_picture import grid_drawing, runs_up
from patterns.lesson.pencil import PENCIL
from patterns.lesson.worksheet import exercise_title, number_words, offset_cells, offset_heads
from patterns.measure import Notation, format_length
from patterns.shop.tables import own_factor
from patterns.text.bevels import bevel_words
from tiling.books.blank_table import add_blanks
from tiling.books.book import Book, Cover
from tiling.paper import Page
from tiling.paper.printers import Correction

__all__ = ["write_answers"]

HALF = 0.5  # degrees, to which angles are given


def write_answers(
    stream: BinaryIO,
    boat: Boat,
    found: Sequence[Exercise],
    *,
    page: Page,
    mark: str,
    correction: Correction | None = None,
) -> int:
    """Write the answers: the true lines over the same grids, values, angles and bevels; returns how many pages."""
    cover = Cover(title=boat.design.boat.name, subject="answers", mark=mark, creator="scrieve")
    book = Book(stream, cover, page, rulers=True, correction=correction)
    for exercise in found:
        book.chapter(f"Answers, {exercise_title(boat, exercise)}")
        _add_readings(book, boat, exercise)
        if exercise.seen_from_above:
            _add_angles(book, exercise)
        book.chapter(f"Answers on the grid, {exercise_title(boat, exercise)}")
        book.picture(grid_drawing(boat, exercise, answered=True), turned=runs_up(page))
    return book.finish()


def _add_readings(book: Book, boat: Boat, exercise: Exercise) -> None:
    wrong = [cross.label for cross in exercise.crosses if cross.planted]
    book.paragraph(
        f"{number_words(exercise).capitalize()} wrong on purpose: {', '.join(wrong)}, ringed on the grid. The line "
        "is the boat's own, as her patterns are made from."
    )
    book.paragraph(
        "Accept: 19 careful pupils of 20 read within these bounds at a station. They hold for crosses set, a line "
        f"drawn and a reading taken to about {PENCIL:g} mm on the paper each, and for a batten that is clear of "
        "the wrong crosses. Where a reading is out of its bounds, look at the plotting of that cross and its "
        "neighbours first, then at the batten's weights there."
    )
    mm = exercise.notation is Notation.MM
    heads = [
        *offset_heads(boat, exercise),
        "true line",
        *([] if mm else ["true, mm"]),
        "wrong by, mm",
        "accept, mm",
    ]
    rows = [_reading(boat, exercise, cross) for cross in exercise.crosses]
    add_blanks(book, heads, rows, [1.0] * len(heads))


def _reading(boat: Boat, exercise: Exercise, cross: Cross) -> list[str]:
    factor = own_factor(boat.design, exercise.view)
    true, band = factor * cross.true, abs(factor) * cross.band
    return [
        *offset_cells(boat, exercise, cross),
        format_length(true, exercise.notation),
        *([] if exercise.notation is Notation.MM else [f"{true:.1f}"]),
        f"{factor * (cross.printed - cross.true):+.0f}" if cross.planted else "",
        f"{math.floor(true - band)} to {math.ceil(true + band)}",
    ]


def _add_angles(book: Book, exercise: Exercise) -> None:
    book.heading("Angles", listed=False)
    book.paragraph(
        "By the recipe is what the sheet's rule gives, with the bounds to accept. Of the line is the true angle "
        "there: where the line bends sharply or stations are unevenly apart the rule's chord differs from it. "
        "Positive where the boat grows wider going aft."
    )
    names = list(dict.fromkeys(name for bevels in exercise.bevels.values() for name, _ in bevels))
    if names:
        book.paragraph(
            "The bevel is the angle through the wood of a frame on the station line, square to its edge, whose "
            "wood lies away from the greatest breadth. The planking leans and the line climbs: so it differs from "
            "the angle seen from above."
        )
    heads = ["station", "by the recipe", "accept", "of the line", *(f"bevel, {name}" for name in names)]
    rows = []
    for cross, (angle, band) in zip(exercise.crosses, exercise.recipe(), strict=True):
        low, high = (
            way(np.degrees(bound) / HALF) * HALF
            for way, bound in ((math.floor, angle - band), (math.ceil, angle + band))
        )
        there = dict(exercise.bevels.get(cross.label, ()))
        bevels = [bevel_words(there[name]) if name in there else "" for name in names]
        rows.append([cross.label, _degrees(angle), f"{low:g}° to {high:g}°", _degrees(cross.slope), *bevels])
    add_blanks(book, heads, rows, [1.0] * len(heads))


def _degrees(angle: float) -> str:
    return f"{round(float(np.degrees(angle)) / HALF) * HALF + 0.0:g}°"
