"""The lesson on paper: its steps with their times, checks for marking, a page for the board, a glossary, cautions.

Minutes are what beginners take (common practice, no source); those of taping follow from how many pages a set has.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import BinaryIO

from patterns.lesson.board_picture import BOARD_STEPS, board_picture
from tiling.books.blank_table import add_blanks
from tiling.books.book import Book, Cover
from tiling.books.table_columns import BookRow, Column
from tiling.paper import Page

__all__ = ["Lesson", "write_lesson"]

TAPED = (3.0, 2.0)  # minutes a page: trimmed and taped by pupils of 12, and by adults
LARGE = 4.5  # mm, height of a capital that is read from the back of a room when it is projected
PERIOD = 45  # minutes of a school lesson


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What a lesson's papers are made from.

    Attributes:
        title: the boat.
        mark: of the patterns.
        names: of the groups.
        pages: that a group tapes.
        grids: that each worksheet has.
        wrong: offsets on a worksheet that are wrong on purpose.
        angles: whether angles are asked for.
        bends: the batten for each grid, in words.
        scale: the patterns' scale in words; empty at full size.
        cautions: for a class.
    """

    title: str
    mark: str
    names: tuple[str, ...]
    pages: int
    grids: int
    wrong: int
    angles: bool
    bends: tuple[str, ...]
    scale: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Step:
    """A step of the lesson: minutes with pupils of 12 and up, with adults, and what is done."""

    young: float
    adult: float
    what: str


def _steps(lesson: Lesson) -> list[_Step]:
    """Every step, those by hand first."""
    grids, model = lesson.grids, bool(lesson.scale)
    angles = ", work out the angles" if lesson.angles else ""
    return [
        _Step(10, 5, "Measure both rulers of a printed page from disc to disc. Why must they read 150 mm?"),
        _Step(15, 10, "The page for the board: station, offset, batten, fair. Cautions for knives and weights."),
        _Step(12 * grids, 8 * grids, "Plot the offsets of the worksheet as crosses, in pairs."),
        _Step(
            15 * grids, 10 * grids,
            f"Bend the batten, find the wrong offsets ({lesson.wrong} in all), draw the line.",
        ),
        _Step(10 * grids, 8 * grids, f"Read the line off{angles}, compare with the neighbours and the answers."),
        _Step(TAPED[0] * lesson.pages, TAPED[1] * lesson.pages, f"Trim and tape {lesson.pages} pages."),
        _Step(10, 5, "Measure the long distances and write them in their boxes."),
        _Step(20, 15, "Lay it on card or wood, prick through, join the points with the batten."),
        _Step(20, 15, "Cut the pieces.") if model else _Step(40, 30, "Saw outside of the line, plane to it."),
        _Step(15, 10, "Lay the pieces of all groups on each other. Where they differ, find out why. Clear up."),
    ]  # fmt: skip


CHECKS = (
    ("Rulers", "both measured and written down, 149.5 to 150.5 mm", 2),
    ("Crosses", "three of them measured: within 0.5 mm of their places on the paper", 3),
    ("Wrong offsets", "found with the batten, and left", 4),
    ("Line", "one clean pencil line, fair when sighted along", 3),
    ("Readings", "within the bounds of the answers; one point off for each that is not", 4),
    ("Marks aligned", "pages trimmed on the dashed line, the halves of each mark make one disc", 3),
    ("Distances", "each written in its box and inside its band", 3),
    ("Saw line kept", "the line is still there all round, and no more than 1 mm of wood outside of it", 4),
    ("Safe work", "tools put down closed, bench clear, eyes covered", 4),
)

GLOSSARY = (
    ("station", "an upright plane across the boat; stations are numbered from the bow"),
    ("offset", "one length of the table: how high, or how far out, a line is at a station"),
    ("half-breadth", "how far a line is from the boat's middle plane; both sides are the same"),
    ("base line", "the level line that heights are measured from"),
    ("sheer", "the upper edge of the boat's side"),
    ("chine", "the corner between side and bottom"),
    ("keel", "the lowest timber, on the middle plane; the line where the bottom meets it"),
    ("stem", "the timber at the bow that the planks end on"),
    ("transom", "the flat end of the boat at the stern"),
    ("frame", "a piece across the boat that gives her shape and holds the planks"),
    ("to loft", "to draw the boat's lines full size and make them fair"),
    ("batten", "a thin springy strip that a line is drawn along"),
    ("duck", "a weight that holds the batten; also called a spline weight"),
    ("fair", "without bumps or hollows: the eye runs along the line without a stop"),
    ("bevel", "the angle of an edge through the wood; under is less than square, standing is more"),
    ("saw line", "the heavy line of a pattern: saw outside of it, plane to it"),
    ("match mark", "half a disc on each of two pages; aligned, they make one disc"),
    ("moulded face", "the face of a piece that the pattern is laid on"),
)


def write_lesson(stream: BinaryIO, lesson: Lesson, *, page: Page) -> int:
    """Write the lesson's papers; returns how many pages."""
    cover = Cover(title=lesson.title, subject="lesson", mark=lesson.mark, creator="scrieve")
    book = Book(stream, cover, page)
    _add_plan(book, lesson)
    _add_checks(book, lesson)
    book.chapter("How a line is made fair")
    book.picture(board_picture(book.room))
    book.space(4.0)
    for number, words in enumerate(BOARD_STEPS, start=1):
        book.paragraph(f"{number}. {words}", height=LARGE)
    book.chapter("Words")
    book.table(
        [Column(head="word"), Column(head="meaning", wraps=True)],
        [BookRow(cells=cells) for cells in GLOSSARY],
    )
    book.heading("Cautions for a class", listed=False)
    for words in lesson.cautions:
        book.paragraph(words)
    return book.finish()


def _add_plan(book: Book, lesson: Lesson) -> None:
    book.chapter("Lesson plan")
    book.paragraph(
        "For ages 12 and up, and for adults. With pupils of 12 to 15 work in groups of two or three, with an adult "
        "at each machine. Adults can work alone and skip the explanations."
    )
    steps = _steps(lesson)
    rows = [
        BookRow(cells=(str(number), _minutes(step.young), _minutes(step.adult), step.what))
        for number, step in enumerate(steps, start=1)
    ]
    young, adult = (sum(_whole(step.young) for step in steps), sum(_whole(step.adult) for step in steps))
    rows.append(BookRow(cells=("", str(young), str(adult), "minutes in all")))
    columns = [
        Column(head="step", align="right"), Column(head="minutes, age 12+", align="right"),
        Column(head="minutes, adults", align="right"), Column(head="what is done", wraps=True),
    ]  # fmt: skip
    book.table(columns, rows)
    lessons = math.ceil(young / PERIOD)
    book.paragraph(
        f"That is {lessons} lessons of {PERIOD} minutes, or {math.ceil(adult / 60)} hours for adults. Steps 1 to 5 "
        "need paper alone. Stop after step 5, 7 or 8; the work can lie."
    )
    book.heading("Before the lesson", listed=False)
    groups = len(lesson.names)
    small = f" at {lesson.scale}" if lesson.scale else ""
    for words in (
        f"Print everything at 100 % and measure both rulers. {groups} groups, each tapes {lesson.pages} "
        f"pages{small}.",
        "For every pupil: a sharp pencil, an eraser, a steel rule, the worksheet.",
        "For every group: scissors or a trimmer, clear tape, ten weights or map pins, and a batten for each grid:",
        *lesson.bends,
        "Keep the answers to yourself until step 5. Try the worksheet once with the battens that you have.",
    ):
        book.paragraph(words)


def _whole(minutes: float) -> int:
    """To 5 minutes, upward."""
    return 5 * math.ceil(minutes / 5.0)


def _minutes(minutes: float) -> str:
    return str(_whole(minutes))


def _add_checks(book: Book, lesson: Lesson) -> None:
    book.chapter("Checks for marking")
    rows = [BookRow(cells=(name, what, str(points))) for name, what, points in CHECKS]
    rows.append(BookRow(cells=("", "in all", str(sum(points for _, _, points in CHECKS)))))
    book.table(
        [
            Column(head="check"),
            Column(head="full marks for", wraps=True),
            Column(head="points", align="right"),
        ],
        rows,
    )
    heads = ["", *(name.lower() for name, _, _ in CHECKS), "sum"]
    sheet = [[_short(name), *[""] * (len(heads) - 1)] for name in lesson.names]
    add_blanks(book, heads, sheet, [2.0] + [1.0] * (len(heads) - 1))


def _short(name: str, longest: int = 22) -> str:
    """A name that leaves room for the marks; the whole one is on the list of sets."""
    return name if len(name) <= longest else f"{name[: longest - 1].rstrip()}…"
