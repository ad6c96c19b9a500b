"""The worksheet: what to do, a small table of offsets with blanks to fill in, and a grid that fills its page."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import BinaryIO

import numpy as np

from patterns.boat import Boat
from patterns.lesson.exercise import Cross, Exercise
from patterns.lesson.grid_picture import grid_drawing, runs_up, view_words
from patterns.lesson.pencil import least_radius
from patterns.lesson.planted import MOVES
from patterns.measure import Notation, format_length
from patterns.shop.tables import own_factor
from tiling.books.blank_table import add_blanks
from tiling.books.book import Book, Cover
from tiling.paper import Page
from tiling.paper.printers import Correction

__all__ = [
    "batten_words",
    "exercise_title",
    "number_words",
    "offset_cells",
    "offset_heads",
    "write_worksheets",
]

# Strain at the surface of a strip bent to a radius is half its thickness over the radius; a wooden batten takes
# 0.5 % often, and plastic 1 % (common practice, no source).
WOOD, PLASTIC = 100.0, 50.0  # radii in thicknesses
PAST = 60.0  # mm that a batten runs on past the line, both ends together
HOLD = "Hold it with a weight or a pin at every cross, and let it run on past both ends."
NUMBERS = {1: "one", 2: "two"}


def exercise_title(boat: Boat, exercise: Exercise) -> str:
    """What an exercise is called."""
    return f"{exercise.line}: {view_words(boat, exercise)}"


def number_words(exercise: Exercise) -> str:
    """How many offsets are wrong, in words."""
    return NUMBERS[sum(cross.planted for cross in exercise.crosses)]


def _steps(boat: Boat, exercise: Exercise) -> Iterator[str]:
    along, across = exercise.along.scale, exercise.across.scale
    yield (
        "Plot each offset of the table on the grid of the next page, as a small sharp cross on the line of its "
        f"station; the ends of the boat's line are on the dashed lines. 1 mm of paper is {across} mm of the boat "
        f"across the grid and {along} mm along it. A line that is fair on the grid is fair on the boat."
    )
    count = number_words(exercise)
    one = count == "one"
    most = math.ceil(max(MOVES))
    yield (
        f"{count.capitalize()} of these offsets {'is' if one else 'are'} wrong on purpose, by 2 to {most} mm "
        "on the paper. The others are right to a pencil line's breadth. You will find the wrong "
        f"{'one' if one else 'ones'} with the batten."
    )
    yield f"{batten_words(exercise)} {HOLD}"
    yield (
        "Sight along the batten with your eye close to the paper. Where it has a bump or a hollow, lift one weight "
        "at a time and put it back. When the batten springs clear of a cross and is fair without it, that cross is "
        "wrong: leave it."
    )
    yield (
        "Draw along the batten with a sharp pencil. Read your line at every station, and write the reading and "
        "how far it is from the table's offset."
    )
    if exercise.seen_from_above:
        yield (
            "The angle of the line at a station, seen from above: take your reading in the row below, less the one "
            "in the row above. Divide by the distance between these two rows (column aft). The angle is the "
            "inverse tangent of that. At an end of the boat use the end's own row and its one neighbour."
        )


def batten_words(exercise: Exercise) -> str:
    """What batten bends to the line of an exercise."""
    line = exercise.on_paper(exercise.curve)
    radius, place = least_radius(line)
    long = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) + PAST
    if not np.isfinite(radius) or radius > 2000.0:
        return f"Bend a thin batten {long:.0f} mm long through the crosses."
    near = min(exercise.crosses, key=lambda cross: abs(exercise.along.at(cross.x) - float(place[0])))
    return (
        f"Bend a thin batten {long:.0f} mm long through the crosses. The sharpest bend is near "
        f"{_place(near)}, to a radius of {radius:.0f} mm on the paper: a strip of plastic up to "
        f"{_thick(radius / PLASTIC)} mm thick takes it, or straight-grained wood up to {_thick(radius / WOOD)} mm."
    )


def _thick(mm: float) -> str:
    return f"{max(np.floor(10.0 * mm) / 10.0, 0.1):.1f}"


def _place(cross: Cross) -> str:
    return f"the {cross.label}" if cross.at_end else f"station {cross.label}"


def offset_heads(boat: Boat, exercise: Exercise) -> list[str]:
    """The headings of an exercise's offsets, with their units."""
    unit = exercise.notation.value
    heads = ["station", f"aft, {unit}", f"{view_words(boat, exercise)}, {unit}"]
    return heads if exercise.notation is Notation.MM else [*heads, "the same, mm"]


def offset_cells(boat: Boat, exercise: Exercise, cross: Cross) -> list[str]:
    """One offset of an exercise as the sheet says it."""
    notation, factor = exercise.notation, own_factor(boat.design, exercise.view)
    at = round(cross.x) if notation.metric else cross.x
    words = [cross.label, format_length(at, notation), format_length(factor * cross.printed, notation)]
    return words if notation is Notation.MM else [*words, f"{factor * cross.printed:.1f}"]


def write_worksheets(
    stream: BinaryIO,
    boat: Boat,
    found: Sequence[Exercise],
    *,
    page: Page,
    mark: str,
    owners: Sequence[str],
    correction: Correction | None = None,
) -> int:
    """Write a worksheet for each owner, one after the other; returns how many pages one has.

    Args:
        owners: by name; one may come several times.
        correction: of the printer that will print them.
    """
    cover = Cover(title=boat.design.boat.name, subject="worksheet", mark=mark, creator="scrieve")
    book = Book(stream, cover, page, rulers=True, owned=bool(owners), correction=correction)
    for exercise in found:
        title = f"Loft by hand, {exercise_title(boat, exercise)}"
        book.chapter(title)
        for number, words in enumerate(_steps(boat, exercise), start=1):
            book.paragraph(f"{number}. {words}")
        book.space(3.0)
        heads = [*offset_heads(boat, exercise), "you read", "you moved it by"]
        blanks = ["", ""]
        if exercise.seen_from_above:
            heads, blanks = [*heads, "angle, degrees"], [*blanks, ""]
        rows = [[*offset_cells(boat, exercise, cross), *blanks] for cross in exercise.crosses]
        add_blanks(book, heads, rows, [1.0] * (len(heads) - len(blanks)) + [3.0] * len(blanks))
        book.paragraph("These offsets are for this exercise: build nothing from them.")
        book.chapter(f"Grid, {exercise_title(boat, exercise)}")
        book.picture(grid_drawing(boat, exercise), turned=runs_up(page))
    return book.finish(owners)
